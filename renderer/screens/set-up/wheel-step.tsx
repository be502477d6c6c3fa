import { refusalText } from '../../../core/wheel/refusals.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { setupFit, setupFitText } from '../../state/bench-kept-setup.ts';
import type { SightState } from '../../state/bench-sight.ts';
import type { Sight } from '../../state/bench-sight-effects.ts';
import { formatRoute } from '../../state/route.ts';
import { printedWheelPage } from '../help/pages.ts';
import { CarryOnQuestion } from './carry-on-question.tsx';

interface WheelStepProps {
  readonly sight: Sight;
  readonly state: SightState;
  /** Set-ups by which something was stamped. */
  readonly stampedSetups: ReadonlySet<string>;
}

/** Whether the wheel is found, whether a kept set-up still fits, and how a new one goes on from it. */
export function WheelStep({ sight, state, stampedSetups }: WheelStepProps) {
  const isRunning = state.camera.kind === 'running';
  const isDrawn = state.finding.kind === 'by_hand' || state.finding.kind === 'refused';
  return (
    <>
      <h2>2. Wheel</h2>
      <p role="status" data-testid="finding">
        {findingSentence(state)}
      </p>
      <SetupFitNotice sight={sight} state={state} />
      <CodedRingLine state={state} />
      {isRunning ? (
        <div className="row">
          {state.finding.kind === 'looking' ? (
            <>
              <progress aria-label="Search for the wheel" max={1} value={state.finding.share} />
              <Button onPress={sight.stopFinding}>Stop looking</Button>
            </>
          ) : (
            <Button onPress={sight.find}>Find the wheel again</Button>
          )}
          {state.rim === null ? <Button onPress={sight.drawRim}>Draw the outline by hand</Button> : null}
          {state.setup !== null && isDrawn && state.rim !== state.setup.info.rim ? (
            <Button onPress={sight.putRimBack}>Put the outline back</Button>
          ) : null}
        </div>
      ) : null}
      {state.setup === null || state.setup.info.codedRing === null ? (
        <p className="muted small">
          <a href={formatRoute({ screen: 'help', page: printedWheelPage })}>Print a wheel</a> whose place the camera
          knows at once.
        </p>
      ) : null}
      <CarryOnQuestion sight={sight} state={state} stampedSetups={stampedSetups} />
    </>
  );
}

function findingSentence(state: SightState): string {
  if (state.worker.kind === 'starting') return 'The wheel reader is starting.';
  if (state.worker.kind === 'restarting') return 'The wheel reader is starting again; the set-up is kept.';
  const { finding } = state;
  switch (finding.kind) {
    case 'idle':
      return state.setup === null ? 'Waiting for a picture.' : 'The wheel is set up.';
    case 'looking': {
      if (finding.reason === null) return 'Looking for the wheel.';
      const { what, remedy } = refusalText(finding.reason);
      return `${what} ${remedy}`;
    }
    case 'stopped':
      return 'The wheel is not looked for any more. Draw the outline by hand, or find the wheel again.';
    case 'found':
      return finding.confidence < 0.5
        ? 'A wheel was found, not surely: check the outline and the straightened ring.'
        : 'The wheel is found. Drag the outline where it is off the rim.';
    case 'by_hand':
      if (finding.isSnapped === null) return 'Drag the outline on to the rim; it snaps when it is near.';
      return finding.isSnapped
        ? 'The outline snapped to the rim.'
        : 'No rim is near the outline: it is taken as you drew it. Check the straightened ring.';
    case 'refused': {
      const { what, remedy } = refusalText(finding.reason);
      const still = state.setup === null ? '' : ' Until the outline fits, the earlier one is read.';
      return `${what} ${remedy}${still}`;
    }
    case 'taken_up_again':
      return 'The kept set-up was taken up again.';
  }
}

/** What the coded ring of a printed wheel says, where there is one. */
function CodedRingLine({ state }: { state: SightState }) {
  const ring = state.setup?.info.codedRing ?? null;
  if (ring === null) return null;
  if (ring === 'mirrored') {
    return (
      <Notice tone="failure" title="Mirrored picture">
        The coded ring is seen as in a mirror: the camera or its program mirrors the picture. Press “The camera mirrors”
        above, then find the wheel again; otherwise forwards and backwards are swapped.
      </Notice>
    );
  }
  const reading = state.live?.reading ?? null;
  const isWhole = reading?.accepted === true && reading.modulusDeg === 360;
  const zeroDeg = isWhole ? (ring.absoluteDeg + reading.rotationDeg) % 360 : null;
  return (
    <p data-testid="coded-ring">
      Coded ring: seen, absolute. Its numbers grow {ring.grows} round the face.
      {zeroDeg === null
        ? ''
        : ` The zero mark stands ${zeroDeg.toFixed(1)} degrees clockwise from straight up in the picture.`}
    </p>
  );
}

/** Says it where a set-up that was taken up again, or the one in use, doesn't fit what the camera sees. */
function SetupFitNotice({ sight, state }: { sight: Sight; state: SightState }) {
  if (state.setup === null || state.camera.kind !== 'running') return null;
  const fit = setupFit(state.cameraCheck, state.live?.reading ?? null);
  const text = setupFitText(fit);
  const isTakenUp = state.finding.kind === 'taken_up_again';
  if (fit.kind === 'open' && fit.reason !== null && isTakenUp) {
    const { what, remedy } = refusalText(fit.reason);
    return (
      <Notice tone="note">
        Whether it still fits can’t be told yet. {what} {remedy}
      </Notice>
    );
  }
  // A set-up made just now fits; only what changes is worth a word.
  if (text === null || (fit.kind === 'fits' && !isTakenUp)) return null;
  return (
    <div data-testid="set-up-fit" data-fit={fit.kind}>
      <Notice
        tone={text.mustSetUp ? 'failure' : 'note'}
        title={text.mustSetUp ? 'Moved' : 'Taken up again'}
        action={text.mustSetUp ? <Button onPress={sight.find}>Find the wheel again</Button> : undefined}
      >
        {text.sentence}
      </Notice>
    </div>
  );
}
