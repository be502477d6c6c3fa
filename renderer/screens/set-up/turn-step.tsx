import { refusalText } from '../../../core/wheel/refusals.ts';
import { Notice } from '../../parts/controls.tsx';
import { measuredAngle } from '../../parts/expanded-angle.ts';
import { NumberField } from '../../parts/number-field.tsx';
import type { SightState } from '../../state/bench-sight.ts';
import type { Sight } from '../../state/bench-sight-effects.ts';

/** Turning the crank once: the arc covered, the accuracy reached, and what the turn found of the wheel. */
export function TurnStep({ sight, state }: { sight: Sight; state: SightState }) {
  return (
    <>
      <h2>3. Turn the crank once</h2>
      <Notice tone="caution">
        Turn by hand, spark plug out and earthed, ignition off. Keep fingers out of the ports and away from the crank: a
        port edge shears. Take a stop out before turning past it.
      </Notice>
      {state.setup === null ? (
        <p className="muted">Comes after the wheel.</p>
      ) : (
        <Progress content={state.setup.content} sight={sight} state={state} />
      )}
    </>
  );
}

type Content = NonNullable<SightState['setup']>['content'];

function Progress({ content, sight, state }: { content: Content; sight: Sight; state: SightState }) {
  const isDone = content.turnComplete;
  const arcDeg = Math.max(state.turn?.arcCoveredDeg ?? 0, content.arcCoveredDeg);
  const reading = state.live?.reading ?? null;
  const sigmaDeg =
    reading?.accepted === true && !reading.provisional ? reading.sigmaDeg : (state.turn?.expectedSigmaDeg ?? null);
  return (
    <div data-testid="turn" data-complete={isDone}>
      <div className="turn-progress">
        <CoveredRing sectors={state.turn?.sectorsCovered ?? []} isDone={isDone} />
        <div>
          <p role="status">
            {isDone ? 'The turn is complete. ' : ''}
            The crank was turned over {Math.round(arcDeg)} of 360 degrees.
          </p>
          {sigmaDeg === null ? null : (
            <p data-testid="accuracy">
              {isDone ? 'Readings are' : 'Readings would now be'} good to ± {measuredAngle(sigmaDeg).expanded} degrees:{' '}
              {accuracyWords(2 * sigmaDeg)}.
            </p>
          )}
          {isDone ? null : <p>{nextWords(arcDeg, state.turn?.sectorsCovered ?? [])}</p>}
        </div>
      </div>
      {state.setup !== null && state.setup.info.modulusDeg !== 360 ? (
        <Notice tone="note">
          This scale repeats every {state.setup.info.modulusDeg} degrees and nothing else on the face tells the repeats
          apart. Readings count within {state.setup.info.modulusDeg} degrees;{' '}
          {state.setup.info.modulusDeg === 180
            ? 'which side of TDC an edge lies on is taken from the event.'
            : 'which quarter an edge lies in can’t be told, so stamps will not count for TDC and timing.'}{' '}
          A dab of paint on the face, or the coded ring, makes every position its own.
        </Notice>
      ) : null}
      {state.calibrationRefused === null || isDone ? null : (
        <Notice tone="note">
          {refusalText(state.calibrationRefused).what} {refusalText(state.calibrationRefused).remedy}
        </Notice>
      )}
      <NumberField
        label="Wheel diameter over the rim"
        kind="length"
        value={content.wheelDiameterMm}
        lower={20}
        upper={1000}
        decimals={1}
        hint="Only to show how far off centre it hangs."
        onChange={(wheelDiameterMm) => sight.changeSetup({ wheelDiameterMm })}
      />
      <Findings content={content} />
    </div>
  );
}

function Findings({ content }: { content: Content }) {
  const { eccentricityOfRadius, runOutDeg, wheelDiameterMm } = content;
  if (eccentricityOfRadius === null || runOutDeg === null) return null;
  const offCentre =
    wheelDiameterMm === null
      ? `off centre by ${(100 * eccentricityOfRadius).toFixed(2)} % of its radius`
      : `off centre by ${((eccentricityOfRadius * wheelDiameterMm) / 2).toFixed(2)} mm`;
  return (
    <p className="muted" data-testid="findings">
      The wheel hangs {offCentre}; its face runs out by {runOutDeg.toFixed(2)} degrees. Both are taken out of every
      reading.
    </p>
  );
}

/** Thirty-six tenths of a turn, filled where the crank has been. */
function CoveredRing({ sectors, isDone }: { sectors: readonly boolean[]; isDone: boolean }) {
  const count = 36;
  const covered = sectors.filter(Boolean).length;
  const point = (radius: number, tenDeg: number): string => {
    const angle = ((tenDeg * 10 - 90) * Math.PI) / 180;
    return `${(50 + radius * Math.cos(angle)).toFixed(2)} ${(50 + radius * Math.sin(angle)).toFixed(2)}`;
  };
  return (
    <svg
      className="covered-ring"
      viewBox="0 0 100 100"
      role="img"
      aria-label={isDone && covered === 0 ? 'The turn is complete' : `${covered} of ${count} parts of the turn seen`}
    >
      {Array.from({ length: count }, (_, index) => {
        const from = index + 0.06;
        const to = index + 0.94;
        const isSeen = sectors[index] === true || (isDone && sectors.length === 0);
        return (
          <path
            // biome-ignore lint/suspicious/noArrayIndexKey: the parts are their places
            key={index}
            className={isSeen ? 'covered-part covered-part-seen' : 'covered-part'}
            d={`M ${point(34, from)} L ${point(46, from)} A 46 46 0 0 1 ${point(46, to)} L ${point(34, to)} A 34 34 0 0 0 ${point(34, from)} Z`}
          />
        );
      })}
    </svg>
  );
}

/** What an expanded uncertainty means at the bench; the eye's share is the one of the vision study. */
export function accuracyWords(expandedDeg: number): string {
  if (expandedDeg <= 0.03) return 'far finer than any edge can be placed';
  if (expandedDeg <= 0.12) return 'finer than the eye reads a wheel';
  if (expandedDeg <= 0.5) return 'about as a careful eye reads a wheel';
  return 'coarser than a careful eye; turn on';
}

/** Which part of the turn is still wanted, as the operator can do it. */
export function nextWords(arcDeg: number, sectors: readonly boolean[]): string {
  if (arcDeg < 20) return 'Turn slowly, hands off the ring; it is read as you go.';
  if (arcDeg < 120) return 'Turn on: half a turn at least.';
  const missing = sectors.filter((seen) => !seen).length * 10;
  if (arcDeg < 180) return 'The first model is being worked out. Turn on to half a turn.';
  return missing === 0
    ? 'Every part of the turn was seen.'
    : `${missing} degrees of the turn are still unseen: turn over them slowly.`;
}
