import type { WheelSetup } from '../../../core/contract/readings.ts';
import { type Repeats, repeatsOf } from '../../../core/mockup/repeats.ts';
import type { Stamp } from '../../../core/mockup/stamps.ts';
import type { TimingResult } from '../../../core/mockup/timing-result.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { DisagreementPanel } from '../../parts/disagreement-panel.tsx';
import { quotedCrank } from '../../state/bench-angle.ts';

interface TimingPanelProps {
  readonly result: TimingResult | null;
  readonly failure: string | null;
  readonly setups: readonly WheelSetup[];
  readonly onWheelMoved: () => void;
}

/** Durations, leads and events so far, and what the builder is asked about them. */
export function TimingPanel({ result, failure, setups, onWheelMoved }: TimingPanelProps) {
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
                    {row.differenceDeg === null
                      ? ''
                      : `, directions differ by ${row.differenceDeg.toFixed(2).replace('-', '−')}`}
                    <RepeatLines stamps={row.stamps} setups={setups} />
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
          {result.questions.map((one) => (
            <Notice
              key={one}
              tone={one === result.tdc.driftSentence ? 'caution' : 'note'}
              action={
                one === result.tdc.driftSentence ? (
                  <Button name="Wheel moved: put what was read since in doubt" onPress={onWheelMoved}>
                    Wheel moved
                  </Button>
                ) : undefined
              }
            >
              {one}
            </Notice>
          ))}
          <DisagreementPanel disagreement={result.disagreement} />
        </>
      )}
    </>
  );
}

function quotedEventText(crankDeg: number): string {
  const { figure, side } = quotedCrank(crankDeg, 1);
  return `${figure} ${side}`;
}

/** Number, scatter and spread of an edge's repeats, a line for each direction that was read more than once. */
function RepeatLines({ stamps, setups }: { stamps: readonly Stamp[]; setups: readonly WheelSetup[] }) {
  const { forwards, backwards } = repeatsOf(stamps, setups);
  return (
    <>
      {repeatLine('forwards', forwards)}
      {repeatLine('backwards', backwards)}
    </>
  );
}

function repeatLine(turning: string, repeats: Repeats | null) {
  if (repeats === null || repeats.scatterDeg === null) return null;
  const odd = repeats.outlierIds.length;
  return (
    <div className="muted small" data-testid="repeats">
      {repeats.count} {turning}: scatter {repeats.scatterDeg.toFixed(2)}, spread {repeats.spreadDeg.toFixed(2)} deg
      {odd === 0 ? '' : `; ${odd} ${odd === 1 ? 'stands' : 'stand'} apart (▲ in the list), still counted`}
    </div>
  );
}
