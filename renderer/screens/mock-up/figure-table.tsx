import { Fragment, useState } from 'react';
import { Button } from '../../parts/controls.tsx';
import { limitsText } from '../../parts/limits-text.ts';
import type { Origin } from '../../parts/origin-panel.tsx';
import { Verdict } from '../../parts/verdict.tsx';
import type { MockUpResult } from '../../state/mock-up-result.ts';
import { originOfFigure } from './origins.ts';
import { SpecificationForm } from './specification-form.tsx';

interface FigureTableProps {
  readonly result: MockUpResult;
  readonly onOrigin: (origin: Origin) => void;
}

/** What follows from the events: durations, leads, differences of sides. */
export function FigureTable({ result, onOrigin }: FigureTableProps) {
  const [open, setOpen] = useState<string | null>(null);
  return (
    <section className="panel table-scroll" aria-label="Durations and leads">
      <h2>Durations and leads</h2>
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
            <th scope="col">Limits</th>
            <th scope="col">Source of the limits</th>
            <th scope="col">Verdict</th>
          </tr>
        </thead>
        <tbody>
          {result.figures.map((row) => (
            <Fragment key={row.key}>
              <tr>
                <th scope="row">{row.title}</th>
                <td className="figure">
                  {row.value === null ? (
                    <span className="muted">open</span>
                  ) : (
                    <button
                      type="button"
                      className="number-button"
                      aria-label={`${row.title} ${row.value.value.toFixed(1)} ${row.unit}: where does it come from`}
                      onClick={() => onOrigin(originOfFigure(row))}
                    >
                      {row.value.value.toFixed(1)} {row.unit}
                    </button>
                  )}
                </td>
                <td className="figure">{row.value === null ? '' : (2 * row.value.sigma).toFixed(2)}</td>
                <td>
                  <Button
                    look="quiet"
                    name={`${limitsText(row.judged.specification) ?? 'Enter'}: limits of ${row.title}`}
                    onPress={() => setOpen(open === row.key ? null : row.key)}
                  >
                    {limitsText(row.judged.specification) ?? 'Enter'}
                  </Button>
                </td>
                <td className="muted">{row.judged.specification?.source ?? ''}</td>
                <td>
                  <Verdict kind={row.judged.verdict} note={row.judged.note} />
                </td>
              </tr>
              {open !== row.key ? null : (
                <tr className="table-detail">
                  <td colSpan={6}>
                    <SpecificationForm
                      quantity={row.key}
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
    </section>
  );
}
