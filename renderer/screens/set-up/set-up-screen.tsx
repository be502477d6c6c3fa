import { useEffect } from 'react';
import { useStore } from 'zustand';
import { refusalText } from '../../../core/wheel/refusals.ts';
import { cameraStateText } from '../../camera/camera-states.ts';
import { locksSentence } from '../../camera/track-controls.ts';
import { Button, LinkButton, Notice } from '../../parts/controls.tsx';
import { benchSession } from '../../state/bench-session.ts';
import { answeredForwards, type SightState } from '../../state/bench-sight.ts';
import { useClient, useHost, useMockUpStore, useServices } from '../../state/services.ts';
import { Tape } from '../bench/tape.tsx';
import '../bench/bench.css';
import { CameraPicture } from './camera-picture.tsx';

const demoCamera = new URL('../../../native-fixtures/demo-camera.webm', import.meta.url).href;

/** Is the wheel found, is the turn done, how good is the reading, has anything moved. */
export function SetUpScreen() {
  const client = useClient();
  const { preferences } = useServices();
  const mockUp = useMockUpStore();
  const host = useHost();
  const { sight, outbox } = benchSession(client, preferences, mockUp);
  const state = useStore(sight.store);
  const failure = useStore(outbox.store, (one) => one.failure);
  const mockUpId = useStore(mockUp, (one) => one.mockUpId);
  useEffect(() => {
    void sight.openRemembered();
  }, [sight]);
  const isRunning = state.camera.kind === 'running';
  const cameraText = cameraStateText(state.camera);

  async function playDemo(): Promise<void> {
    const response = await fetch(demoCamera);
    await sight.playFile(await response.blob(), 'The recorded demo camera', 'demo');
  }

  return (
    <section
      className="set-up"
      aria-label="Set-up"
      onDragOver={(event) => event.preventDefault()}
      onDrop={(event) => {
        event.preventDefault();
        const [file] = event.dataTransfer.files;
        if (file !== undefined) void sight.playFile(file, file.name, 'recording');
      }}
    >
      <div className="set-up-picture">
        <h1>Set-up</h1>
        {isRunning ? (
          <CameraPicture
            video={sight.video}
            size={state.picture ?? state.camera.source}
            rim={state.rim}
            isMirrored={state.isMirrored}
            quarterTurns={state.quarterTurns}
            onDrag={sight.dragRim}
            onDrop={sight.dropRim}
          />
        ) : (
          <div className="camera-empty">
            <p>
              <strong>{cameraText.what}</strong>
            </p>
            <p>{cameraText.remedy}</p>
          </div>
        )}
        {state.setup === null ? null : (
          <>
            <Tape listen={sight.listenTape} rotationDeg={null} marks={[]} isWhole />
            <p className="muted">
              The straightened ring. Ticks upright and evenly spaced all along mean that the outline is right.
            </p>
          </>
        )}
      </div>
      <div className="set-up-steps stack">
        <h2>1. Picture</h2>
        <div className="row">
          {isRunning ? (
            <Button onPress={sight.closePicture}>Close the camera</Button>
          ) : (
            <Button look="main" onPress={() => void sight.openCamera(null)}>
              {cameraText.step === 'open' ? cameraText.stepLabel : 'Open the camera'}
            </Button>
          )}
          <Button onPress={() => void playDemo()}>
            {host.info?.demo === true ? 'Play the demo camera' : 'Play the recorded demo camera'}
          </Button>
        </div>
        {state.cameras.length > 1 ? (
          <label className="field">
            Camera
            <select
              aria-label="Camera"
              value={state.camera.kind === 'running' ? state.camera.source.deviceId : ''}
              onChange={(event) => {
                const device = state.cameras.find((one) => one.deviceId === event.target.value);
                if (device !== undefined) void sight.openCamera(device);
              }}
            >
              {state.cameras.map((one) => (
                <option key={one.deviceId} value={one.deviceId}>
                  {one.label}
                </option>
              ))}
            </select>
          </label>
        ) : null}
        {state.camera.kind === 'running' ? (
          <p className="muted">
            {state.camera.source.label}: {state.camera.source.widthPx} x {state.camera.source.heightPx}
            {state.camera.source.framesPerS === null ? '' : `, ${Math.round(state.camera.source.framesPerS)} frames/s`}
            {state.framesDropped > 0 ? `, ${state.framesDropped} frames left out` : ''}
          </p>
        ) : null}
        <div className="row">
          <Button isPressed={state.isMirrored} onPress={() => sight.setMirrored(!state.isMirrored)}>
            The camera mirrors
          </Button>
          <Button onPress={() => sight.setQuarterTurns(((state.quarterTurns + 1) % 4) as SightState['quarterTurns'])}>
            Turn the picture
          </Button>
          {state.locks === null ? null : <Button onPress={() => void sight.lock('locked')}>Lock the camera</Button>}
        </div>
        {state.locks === null ? null : <p className="muted small">{locksSentence(state.locks)}</p>}
        <h2>2. Wheel</h2>
        <p role="status" data-testid="finding">
          {findingSentence(state)}
        </p>
        {isRunning ? <Button onPress={sight.find}>Find the wheel again</Button> : null}
        <h2>3. Turn the crank once</h2>
        <Notice tone="caution">
          Turn by hand, spark plug out and earthed, ignition off. Keep fingers out of the ports and away from the crank:
          a port edge shears. Take a stop out before turning past it.
        </Notice>
        <TurnProgressView state={state} />
        <h2>4. Forwards</h2>
        <ForwardsQuestion state={state} onAnswer={sight.answerForwards} />
        <div className="row">
          <LinkButton look="main" to={{ screen: 'mock-up', mockUpId, place: 'bench' }}>
            To the bench
          </LinkButton>
        </div>
        {state.worker.kind === 'gave_up' ? (
          <Notice tone="failure">
            The wheel reader stopped ({state.worker.detail}). Everything stamped is kept; reload the page to start it
            again.
          </Notice>
        ) : null}
        {failure === null ? null : <Notice tone="failure">{failure} It is tried again by itself.</Notice>}
      </div>
    </section>
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
    case 'found':
      return finding.confidence < 0.5
        ? 'A wheel was found, not surely: check the outline and the straightened ring.'
        : 'The wheel is found. Drag the outline where it is off the rim.';
    case 'by_hand':
      return finding.isSnapped === true
        ? 'The outline snapped to the rim.'
        : 'Outline set by hand: check the straightened ring.';
    case 'refused': {
      const { what, remedy } = refusalText(finding.reason);
      return `${what} ${remedy}`;
    }
    case 'taken_up_again':
      return state.cameraCheck?.state === 'moved'
        ? 'The kept set-up doesn’t fit any more: the camera has moved. Find the wheel again; stamps already taken are kept.'
        : 'The kept set-up was taken up again.';
  }
}

function TurnProgressView({ state }: { state: SightState }) {
  if (state.setup === null) return <p className="muted">Comes after the wheel.</p>;
  const isDone = state.setup.content.turnComplete;
  const arc = Math.max(state.turn?.arcCoveredDeg ?? 0, state.setup.content.arcCoveredDeg);
  const { eccentricityOfRadius: ecc, runOutDeg, wheelDiameterMm } = state.setup.content;
  return (
    <div data-testid="turn" data-complete={isDone}>
      <progress max={360} value={arc} aria-label="Arc covered" />
      <p role="status">
        {isDone ? 'The turn is complete. ' : ''}
        {Math.round(arc)} of 360 degrees covered
        {state.turn?.expectedSigmaDeg == null || isDone
          ? ''
          : `, about ${state.turn.expectedSigmaDeg.toFixed(3)} degrees of uncertainty so far`}
        . {isDone ? '' : (state.turn?.sentence ?? 'Turn slowly, hands off the ring.')}
      </p>
      {isDone && runOutDeg !== null ? (
        <p className="muted">
          Face run-out {runOutDeg.toFixed(2)} degrees
          {ecc === null || wheelDiameterMm === null
            ? ''
            : `, off-centre by ${((ecc * wheelDiameterMm) / 2).toFixed(2)} mm`}
          . Both are taken out.
        </p>
      ) : null}
      {state.calibrationRefused === null || isDone ? null : (
        <Notice tone="note">
          {refusalText(state.calibrationRefused).what} {refusalText(state.calibrationRefused).remedy}
        </Notice>
      )}
    </div>
  );
}

/** Asks once which way is forwards, by what the crank has just done. */
export function ForwardsQuestion({
  state,
  onAnswer,
}: {
  state: SightState;
  onAnswer: (way: 'clockwise' | 'anticlockwise') => void;
}) {
  const forwards = state.setup?.content.forwards ?? null;
  if (state.setup === null) return <p className="muted">Comes after the wheel.</p>;
  if (forwards !== null) {
    return (
      <p>
        Forwards is <strong>{forwards}</strong> in the picture.{' '}
        <Button look="quiet" onPress={() => onAnswer(forwards === 'clockwise' ? 'anticlockwise' : 'clockwise')}>
          Change to {forwards === 'clockwise' ? 'anticlockwise' : 'clockwise'}
        </Button>
      </p>
    );
  }
  const moved = state.movedWay;
  return (
    <fieldset className="field-set" aria-label="Which way is forwards">
      {moved === null ? (
        <p>Turn the crank a little; it is asked then which way that was. Or say it now:</p>
      ) : (
        <>
          <p>The wheel turned {moved} in the picture: was that forwards?</p>
          <div className="row">
            <Button look="main" onPress={() => onAnswer(answeredForwards(moved, true))}>
              Yes, forwards
            </Button>
            <Button look="main" onPress={() => onAnswer(answeredForwards(moved, false))}>
              No, backwards
            </Button>
          </div>
        </>
      )}
      <div className="row">
        <Button onPress={() => onAnswer('clockwise')}>Forwards is clockwise</Button>
        <Button onPress={() => onAnswer('anticlockwise')}>Forwards is anticlockwise</Button>
      </div>
    </fieldset>
  );
}
