import type { BookRow } from '../../../core/contract/messages.ts';
import { Button } from '../../parts/controls.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { formatRoute } from '../../state/route.ts';

interface BuildTableProps {
  readonly rows: readonly BookRow[];
  readonly total: number;
  readonly onMore: () => void;
}

/** Builds with what tells them apart. */
export function BuildTable({ rows, total, onMore }: BuildTableProps) {
  return (
    <>
      <div className="table-scroll">
        <table className="table book-table">
          <caption className="visually-hidden">Builds</caption>
          <thead>
            <tr>
              <th scope="col">Build</th>
              <th scope="col">Job</th>
              <th scope="col">Customer</th>
              <th scope="col">Engine</th>
              <th scope="col">Measured by</th>
              <th scope="col" className="figure">
                Mock-ups
              </th>
              <th scope="col" className="figure">
                Readings
              </th>
              <th scope="col">Changed</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.buildId}>
                <th scope="row">
                  <a href={formatRoute({ screen: 'build', buildId: row.buildId })}>{row.title}</a>
                </th>
                <td>{row.jobNumber}</td>
                <td>{row.customer}</td>
                <td>{row.engine}</td>
                <td>{row.measuredBy}</td>
                <td className="figure">{row.mockUps}</td>
                <td className="figure">{row.readings}</td>
                <td className="muted">{shownTime(row.changedAt)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <div className="row">
        <p className="muted small">
          {total > rows.length ? `${rows.length} of ${total} builds` : `${total} ${total === 1 ? 'build' : 'builds'}`}
        </p>
        {total > rows.length ? <Button onPress={onMore}>Show more</Button> : null}
      </div>
    </>
  );
}
