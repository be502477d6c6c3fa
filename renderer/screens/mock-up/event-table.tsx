import { Fragment, useState } from 'react';
import { shownAngle } from '../../drawings/timing-data.ts';
import { Button } from '../../parts/controls.tsx';
import { limitsText } from '../../parts/limits-text.ts';
import type { Origin } from '../../parts/origin-panel.tsx';
import { Verdict } from '../../parts/verdict.tsx';
import type { EventRow, MockUpResult } from '../../state/mock-up-result.ts';
import { originOfEvent } from './origins.ts';
import { SpecificationForm } from './specification-form.tsx';
import { StampList } from './stamp-list.tsx';

interface EventTableProps {
  readonly result: MockUpResult;
  readonly onOrigin: (origin: Origin) => void;
}

/** Every port edge: both directions, their difference, the result with its uncertainty, limits and verdict. */
export function EventTable({ result, onOrigin }: EventTableProps) {
  const [open, setOpen] = useState<{ readonly key: string; readonly what: 'stamps' | 'limits' } | null>(null);
  const toggle = (key: string, what: 'stamps' | 'limits') =>
    setOpen(open?.key === key && open.what === what ? null : { key, what });
  return (
    <section className="panel table-scroll" aria-label="Events">
      <div className="row spread">
        <h2>Events</h2>
        <span className="small muted">{result.tdc.sentence}</span>
      </div>
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Edge</th>
            <th scope="col" className="figure">
              Forwards
            </th>
            <th scope="col" className="figure">
              Backwards
            </th>
            <th scope="col" className="figure">
              Difference
            </th>
            <th scope="col" className="figure">
              Result
            </th>
            <th scope="col" className="figure">
              U (k = 2)
            </th>
            <th scope="col">Limits</th>
            <th scope="col">Verdict</th>
            <th scope="col" className="figure">
              Readings
            </th>
          </tr>
        </thead>
        <tbody>
          {result.events.map((row) => (
            <Fragment key={row.key}>
              <EventLine row={row} onOrigin={onOrigin} onToggle={(what) => toggle(row.key, what)} />
              {open?.key !== row.key ? null : (
                <tr className="table-detail">
                  <td colSpan={9}>
                    {open.what === 'stamps' ? (
                      <StampList stamps={row.stamps} />
                    ) : (
                      <SpecificationForm
                        quantity={row.key}
                        title={row.title}
                        unit="deg"
                        hint={row.crank === null ? null : shownAngle(row.crank.value)}
                        specification={row.judged.specification}
                        onDone={() => setOpen(null)}
                      />
                    )}
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

interface EventLineProps {
  readonly row: EventRow;
  readonly onOrigin: (origin: Origin) => void;
  readonly onToggle: (what: 'stamps' | 'limits') => void;
}

function EventLine({ row, onOrigin, onToggle }: EventLineProps) {
  const angle = (value: number | null) => (value === null ? '' : shownAngle(value, 2));
  return (
    <tr>
      <th scope="row">{row.title}</th>
      <td className="figure">{angle(row.forwardsDeg)}</td>
      <td className="figure">{angle(row.backwardsDeg)}</td>
      <td className="figure">
        {row.differenceDeg === null ? '' : signed(row.differenceDeg)}
        {row.question === null ? null : (
          <span className="question" title={row.question}>
            {' '}
            ?
          </span>
        )}
      </td>
      <td className="figure">
        {row.crank === null ? (
          <span className="muted">open</span>
        ) : (
          <button
            type="button"
            className="number-button"
            aria-label={`${row.title} ${shownAngle(row.crank.value)}: where does it come from`}
            onClick={() => onOrigin(originOfEvent(row))}
          >
            {shownAngle(row.crank.value)}
          </button>
        )}
      </td>
      <td className="figure">{row.crank === null ? '' : (2 * row.crank.sigma).toFixed(2)}</td>
      <td>
        <Button
          look="quiet"
          name={`${limitsText(row.judged.specification) ?? 'Enter'}: limits of ${row.title}`}
          onPress={() => onToggle('limits')}
        >
          {limitsText(row.judged.specification) ?? 'Enter'}
        </Button>
      </td>
      <td>
        <Verdict kind={row.judged.verdict} note={row.judged.note} />
      </td>
      <td className="figure">
        <Button
          look="quiet"
          isDisabled={row.stamps.length === 0}
          name={`${row.stamps.length} readings of ${row.title}`}
          onPress={() => onToggle('stamps')}
        >
          {row.stamps.length}
        </Button>
      </td>
    </tr>
  );
}

function signed(value: number): string {
  return `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(2)}`;
}
