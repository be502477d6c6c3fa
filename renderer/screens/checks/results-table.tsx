import { Fragment, useState } from 'react';
import type { CheckRow } from '../../../core/mockup/check-rows.ts';
import { adviceCaution } from '../../../core/rules-of-thumb/rule.ts';
import { Button } from '../../parts/controls.tsx';
import { expandedText, figureText } from '../../parts/figure-text.ts';
import { limitsText } from '../../parts/limits-text.ts';
import type { Origin } from '../../parts/origin-panel.tsx';
import { Verdict } from '../../parts/verdict.tsx';
import { usePreferences } from '../../state/services.ts';
import { SpecificationForm } from '../mock-up/specification-form.tsx';
import { originOfCheck } from './check-origin.ts';

/** What follows from the readings: result, uncertainty, limits with source, verdict, and what the trade says. */
export function ResultsTable({ rows, onOrigin }: { rows: readonly CheckRow[]; onOrigin: (origin: Origin) => void }) {
  const [open, setOpen] = useState<string | null>(null);
  const shown = rows.filter((row) => row.value !== null || row.judged.specification !== null);
  const advice = [...new Map(rows.flatMap((row) => row.advice).map((one) => [one.ruleId, one])).values()];
  return (
    <section className="table-scroll" aria-label="Results">
      <h3>Results</h3>
      {shown.length === 0 ? <p className="muted">None yet: they follow from the readings above.</p> : null}
      {shown.length === 0 ? null : (
        <table className="table">
          <thead>
            <tr>
              <th scope="col">Quantity</th>
              <th scope="col" className="figure">
                Result
              </th>
              <th scope="col" className="figure">
                U (k = 2)
              </th>
              <th scope="col">Limits and their source</th>
              <th scope="col">Verdict</th>
            </tr>
          </thead>
          <tbody>
            {shown.map((row) => (
              <Fragment key={row.key}>
                <Line row={row} onOrigin={onOrigin} onLimits={() => setOpen(open === row.key ? null : row.key)} />
                {open !== row.key ? null : (
                  <tr className="table-detail">
                    <td colSpan={5}>
                      <SpecificationForm
                        quantity={row.judged.specification?.quantity ?? row.limitsKey}
                        title={row.title}
                        unit={row.unit}
                        hint={null}
                        specification={row.judged.specification}
                        onDone={() => setOpen(null)}
                      />
                    </td>
                  </tr>
                )}
              </Fragment>
            ))}
          </tbody>
        </table>
      )}
      {advice.length === 0 ? null : (
        <details className="checks-advice">
          <summary>What makers and the trade say ({advice.length})</summary>
          <ul>
            {advice.map((one) => (
              <li key={one.ruleId}>
                <strong>{one.title}:</strong> {one.statement} <span className="muted">Source: {one.source}.</span>
              </li>
            ))}
          </ul>
          <p className="small muted">{adviceCaution}</p>
        </details>
      )}
    </section>
  );
}

interface LineProps {
  readonly row: CheckRow;
  readonly onOrigin: (origin: Origin) => void;
  readonly onLimits: () => void;
}

function Line({ row, onOrigin, onLimits }: LineProps) {
  const preferences = usePreferences();
  const { judged, value } = row;
  const given = limitsText(judged.specification);
  // Limits are kept in millimetres whatever the results are shown in.
  const limits = given === null ? 'Enter' : `${given} ${row.unit === '1' ? '' : row.unit}`.trim();
  const result = value === null ? null : figureText(value.value, row.unit, row.decimals, preferences);
  return (
    <tr data-testid={`check:${row.key}`}>
      <th scope="row">
        {row.title}
        {row.remark === '' ? null : <div className="small muted">{row.remark}</div>}
      </th>
      <td className="figure">
        {result === null ? (
          <span className="muted">open</span>
        ) : (
          <button
            type="button"
            className="number-button"
            aria-label={`${row.title} ${result}: where does it come from`}
            onClick={() => onOrigin(originOfCheck(row, preferences))}
          >
            {result}
          </button>
        )}
      </td>
      <td className="figure">{value === null ? '' : expandedText(value, row.unit, row.decimals, preferences)}</td>
      <td>
        <Button look="quiet" name={`${limits}: limits of ${row.title}`} onPress={onLimits}>
          {limits}
        </Button>
        {judged.specification === null ? null : <div className="small muted">{judged.specification.source}</div>}
      </td>
      <td>
        <Verdict kind={judged.verdict} note={judged.note} />
      </td>
    </tr>
  );
}
