import { useState } from 'react';
import type { WheelScaleKind } from '../../../core/contract/readings.ts';
import { Button } from '../../parts/controls.tsx';
import type { SightState } from '../../state/bench-sight.ts';
import type { Sight } from '../../state/bench-sight-effects.ts';
import { scaleAtReference } from '../../state/wheel-scale-shown.ts';
import { scaleTitles } from '../bench/scale-titles.ts';
import { typedScaleNumber } from '../bench/typed-angle.ts';
import { emptyScaleNumber, runsBothWays, ScaleNumberFields } from './scale-number-fields.tsx';
import { WheelScaleValue } from './wheel-scale-value.tsx';

/** What the pointer shows is entered once; from then on the wheel's own number is shown beside the crank angle. */
export function ScaleStep({ sight, state }: { sight: Sight; state: SightState }) {
  const { setup, live, shownRotationDeg } = state;
  const content = setup?.content ?? null;
  const [scale, setScale] = useState<WheelScaleKind>(content?.wheelReading?.scale ?? '0-360');
  const [growsForwards, setGrowsForwards] = useState(content?.wheelReading?.growsForwards ?? true);
  const [number, setNumber] = useState(emptyScaleNumber);
  const [failure, setFailure] = useState<string | null>(null);
  if (content === null) return null;
  const { forwards } = content;

  function keep(): void {
    if (forwards === null || shownRotationDeg === null || live?.motion !== 'steady') {
      setFailure('Hold the wheel still where it is read, then enter what the pointer shows there.');
      return;
    }
    const outcome = typedScaleNumber(number, { scale, growsForwards });
    if (!outcome.ok) {
      setFailure(outcome.sentence);
      return;
    }
    setFailure(null);
    setNumber(emptyScaleNumber);
    sight.changeSetup({
      wheelReading: { scale, growsForwards },
      shownAtReferenceDeg: scaleAtReference(outcome.angle.wheelReadingDeg, shownRotationDeg, forwards),
    });
  }

  return (
    <>
      <h2>5. The wheel’s own number</h2>
      {forwards === null ? (
        <p className="muted">Comes after forwards. It is only shown; no angle is computed from it.</p>
      ) : (
        <form
          className="stack"
          aria-label="The wheel’s own number"
          onSubmit={(event) => {
            event.preventDefault();
            keep();
          }}
        >
          <p>What does the pointer show now? Entered once, the wheel’s own number stands beside the crank angle.</p>
          <div className="row">
            <label className="field">
              Scale
              <select value={scale} onChange={(event) => setScale(event.target.value as WheelScaleKind)}>
                {Object.entries(scaleTitles).map(([kind, title]) => (
                  <option key={kind} value={kind}>
                    {title}
                  </option>
                ))}
              </select>
            </label>
            {runsBothWays(scale) ? null : (
              <label className="field">
                Turning forwards its numbers
                <select
                  value={growsForwards ? 'grow' : 'fall'}
                  onChange={(event) => setGrowsForwards(event.target.value === 'grow')}
                >
                  <option value="grow">grow</option>
                  <option value="fall">fall</option>
                </select>
              </label>
            )}
            <ScaleNumberFields scale={scale} value={number} onChange={setNumber} />
            <Button onPress={keep}>Keep this number</Button>
          </div>
          {failure === null ? null : <p role="alert">{failure}</p>}
        </form>
      )}
      <WheelScaleValue content={content} rotationDeg={shownRotationDeg} crankDeg={null} />
    </>
  );
}
