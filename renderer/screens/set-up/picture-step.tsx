import { useRef } from 'react';
import { acceptedFiles } from '../../camera/dropped-file.ts';
import { locksSentence } from '../../camera/track-controls.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import type { SightState } from '../../state/bench-sight.ts';
import type { Sight } from '../../state/bench-sight-effects.ts';

const demoCamera = new URL('../../../native-fixtures/demo-camera.webm', import.meta.url).href;

/** Which picture is read: a camera with its size, rate and locks, a recording, or the demo. */
export function PictureStep({ sight, state, isDemo }: { sight: Sight; state: SightState; isDemo: boolean }) {
  const chooser = useRef<HTMLInputElement>(null);
  const isRunning = state.camera.kind === 'running';

  async function playDemo(): Promise<void> {
    const response = await fetch(demoCamera);
    await sight.playFile(await response.blob(), 'The recorded demo camera', 'demo');
  }

  return (
    <>
      <h2>1. Picture</h2>
      <div className="row">
        {isRunning ? (
          <Button onPress={sight.closePicture}>Close the picture</Button>
        ) : (
          <Button look="main" onPress={() => void sight.openCamera(null)}>
            Open the camera
          </Button>
        )}
        <Button onPress={() => chooser.current?.click()}>Play a recording or read pictures</Button>
        <Button onPress={() => void playDemo()}>
          {isDemo ? 'Play the demo camera' : 'Play the recorded demo camera'}
        </Button>
        <input
          ref={chooser}
          className="visually-hidden"
          type="file"
          tabIndex={-1}
          multiple
          accept={acceptedFiles}
          aria-label="Recording or pictures"
          onChange={(event) => {
            sight.takeFiles([...(event.target.files ?? [])]);
            // The same file may be chosen again.
            event.target.value = '';
          }}
        />
      </div>
      {state.fileRefused === null ? null : (
        <Notice tone="failure">
          {state.fileRefused.what} {state.fileRefused.remedy}
        </Notice>
      )}
      <CameraChoice sight={sight} state={state} />
      {state.camera.kind === 'running' ? (
        <p className="muted" data-testid="picture-source">
          {state.camera.source.label}: {state.camera.source.widthPx} × {state.camera.source.heightPx}
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
      </div>
      <LockChoice sight={sight} state={state} />
    </>
  );
}

function CameraChoice({ sight, state }: { sight: Sight; state: SightState }) {
  const source = state.camera.kind === 'running' && state.camera.source.from === 'camera' ? state.camera.source : null;
  const { offered, cameras } = state;
  const size = source === null ? '' : `${source.widthPx}x${source.heightPx}`;
  const modes = offered?.modes ?? [];
  const isUsual = modes.some((mode) => `${mode.widthPx}x${mode.heightPx}` === size);
  const rate = source?.framesPerS == null ? null : Math.round(source.framesPerS);
  return (
    <div className="row">
      {cameras.length > 1 ? (
        <label className="field">
          Camera
          <select
            aria-label="Camera"
            value={source?.deviceId ?? ''}
            onChange={(event) => {
              const device = cameras.find((one) => one.deviceId === event.target.value);
              if (device !== undefined) void sight.openCamera(device);
            }}
          >
            {source === null ? <option value="">Choose</option> : null}
            {cameras.map((one) => (
              <option key={one.deviceId} value={one.deviceId}>
                {one.label}
              </option>
            ))}
          </select>
        </label>
      ) : null}
      {source === null || modes.length === 0 ? null : (
        <label className="field">
          Size
          <select
            aria-label="Size"
            value={size}
            onChange={(event) => {
              const mode = modes.find((one) => `${one.widthPx}x${one.heightPx}` === event.target.value);
              if (mode !== undefined) void sight.setMode({ ...mode, framesPerS: rate ?? 30 });
            }}
          >
            {isUsual ? null : <option value={size}>{size.replace('x', ' × ')}</option>}
            {modes.map((mode) => (
              <option key={`${mode.widthPx}x${mode.heightPx}`} value={`${mode.widthPx}x${mode.heightPx}`}>
                {mode.widthPx} × {mode.heightPx}
              </option>
            ))}
          </select>
        </label>
      )}
      {source === null || rate === null || (offered?.framesPerS.length ?? 0) === 0 ? null : (
        <label className="field">
          Frames/s
          <select
            aria-label="Frames per second"
            value={rate}
            onChange={(event) =>
              void sight.setMode({
                widthPx: source.widthPx,
                heightPx: source.heightPx,
                framesPerS: Number(event.target.value),
              })
            }
          >
            {offered?.framesPerS.includes(rate) === true ? null : <option value={rate}>{rate}</option>}
            {offered?.framesPerS.map((one) => (
              <option key={one} value={one}>
                {one}
              </option>
            ))}
          </select>
        </label>
      )}
    </div>
  );
}

function LockChoice({ sight, state }: { sight: Sight; state: SightState }) {
  const { locks } = state;
  if (locks === null) return null;
  const values = Object.values(locks);
  return (
    <>
      <div className="row">
        {values.includes('free') ? (
          <Button onPress={() => void sight.lock('locked')}>Lock exposure, focus and white balance</Button>
        ) : null}
        {values.includes('locked') ? <Button onPress={() => void sight.lock('free')}>Free them again</Button> : null}
      </div>
      <p className="muted small" data-testid="locks">
        {locksSentence(locks)}
      </p>
    </>
  );
}
