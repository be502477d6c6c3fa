import type { OutputOf } from '../../../core/contract/messages.ts';
import { stepQuantity } from '../../../core/mockup/steps.ts';
import { writeNumber } from '../../parts/typed-number.ts';
import { oddityOf } from '../../state/csv-mapping.ts';
import { usePreferences } from '../../state/services.ts';

/** Refused lines listed with their reason; a table cut wrongly refuses all of them. */
const listedRefusals = 20;

/** How the lines are understood, and which ones can't be. */
export function CsvOutcome({ outcome }: { outcome: OutputOf<'csv.import'> }) {
  const { decimalMark } = usePreferences();
  const { added, refused, understood } = outcome;
  return (
    <div className="stack">
      <p role="status">
        {added} {added === 1 ? 'line is' : 'lines are'} understood, {refused.length} can't be.
      </p>
      {understood.length === 0 ? null : (
        <div className="table-scroll">
          <table className="table csv-preview">
            <caption>As it will be stored, first lines</caption>
            <thead>
              <tr>
                <th scope="col" className="figure">
                  Line
                </th>
                <th scope="col">What</th>
                <th scope="col">Where</th>
                <th scope="col" className="figure">
                  Reading
                </th>
                <th scope="col">Remark</th>
              </tr>
            </thead>
            <tbody>
              {understood.map((reading) => (
                <tr key={reading.line}>
                  <td className="figure">{reading.line}</td>
                  <td>{stepQuantity(reading.quantity)?.title ?? reading.quantity}</td>
                  <td>{reading.position.replaceAll('_', ' ')}</td>
                  <td className="figure">
                    {writeNumber(reading.value, 6, decimalMark)} {reading.unit}
                  </td>
                  <td className="muted csv-remark">{oddityOf(reading) ?? reading.note}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {refused.length === 0 ? null : (
        <table className="table csv-refused">
          <caption>Left out</caption>
          <tbody>
            {refused.slice(0, listedRefusals).map(({ line, reason }) => (
              <tr key={line}>
                <th scope="row">Line {line}</th>
                <td>{reason}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {refused.length > listedRefusals ? (
        <p className="muted small">and {refused.length - listedRefusals} more</p>
      ) : null}
    </div>
  );
}
