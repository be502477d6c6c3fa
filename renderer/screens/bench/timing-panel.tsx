import type { TimingResult } from '../../../core/mockup/timing-result.ts';
import { Notice } from '../../parts/controls.tsx';
import { quotedCrank } from '../../state/bench-angle.ts';

/** Durations, leads and events so far, and what the builder is asked about them. */
export function TimingPanel({ result, failure }: { result: TimingResult | null; failure: string | null }) {
  return (
    <>
      <h2>Timing</h2>
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {result === null ? null : (
        <>
          <p data-testid="tdc">{result.tdc.sentence}</p>
          <table className="table" aria-label="Durations">
            <tbody>
              {result.figures.map((row) => (
                <tr key={row.key} data-testid={row.key}>
                  <th scope="row">{row.title}</th>
                  <td>
                    {row.value === null
                      ? 'open'
                      : `${row.value.value.toFixed(1)} ± ${(2 * row.value.sigma).toFixed(1)} ${row.unit}`}
                  </td>
                </tr>
              ))}
              {result.events.map((row) => (
                <tr key={row.key} data-testid={row.key}>
                  <th scope="row">{row.title}</th>
                  <td>
                    {row.crank === null ? 'open' : quotedEventText(row.crank.value)}
                    {row.differenceDeg === null ? '' : `, directions differ by ${row.differenceDeg.toFixed(2)}`}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
          {result.questions.map((one) => (
            <Notice key={one} tone="note">
              {one}
            </Notice>
          ))}
        </>
      )}
    </>
  );
}

function quotedEventText(crankDeg: number): string {
  const { figure, side } = quotedCrank(crankDeg, 1);
  return `${figure} ${side}`;
}
