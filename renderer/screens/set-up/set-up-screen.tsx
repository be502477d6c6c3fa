import { useEffect, useMemo, useState } from 'react';
import { useStore } from 'zustand';
import { LinkButton, Notice } from '../../parts/controls.tsx';
import { setupsWorthCarryingOn } from '../../state/bench-kept-setup.ts';
import { benchSession } from '../../state/bench-session.ts';
import { useClient, useHost, useMockUpState, useMockUpStore, useServices } from '../../state/services.ts';
import { Tape } from '../bench/tape.tsx';
import { CameraFault } from './camera-fault.tsx';
import { CameraPicture } from './camera-picture.tsx';
import { ForwardsQuestion } from './forwards-question.tsx';
import { PictureStep } from './picture-step.tsx';
import { PointerMark } from './pointer-mark.tsx';
import type { Place } from './rim-shape.ts';
import { ScaleStep } from './scale-step.tsx';
import { StillsRead } from './stills-read.tsx';
import { TurnStep } from './turn-step.tsx';
import { WheelStep } from './wheel-step.tsx';
import '../bench/bench.css';
import './set-up.css';

/** Is the wheel found, is the turn done, how good is the reading, has anything moved. */
export function SetUpScreen() {
  const client = useClient();
  const { preferences } = useServices();
  const mockUp = useMockUpStore();
  const { whole, mockUpId } = useMockUpState();
  const host = useHost();
  const { sight, outbox } = benchSession(client, preferences, mockUp);
  const state = useStore(sight.store);
  const failure = useStore(outbox.store, (one) => one.failure);
  useEffect(() => {
    void sight.openRemembered();
  }, [sight]);
  const stampedSetups = useMemo(() => setupsWorthCarryingOn(whole?.setups ?? [], whole?.readings ?? []), [whole]);

  /** Where the mark of the pointer is held while it is being placed. */
  const [held, setHeld] = useState<{ readonly at: Place; readonly setupId: string } | null>(null);
  const setupId = state.setup?.id ?? null;
  // Another set-up has another rim: a mark that was being placed on the old one is let go.
  const placing = held !== null && held.setupId === setupId ? held.at : null;
  const setPlacing = (at: Place | null): void => setHeld(at === null || setupId === null ? null : { at, setupId });
  const place = (at: Place, isSet: boolean): void => {
    setPlacing(isSet ? null : at);
    if (isSet) sight.markPointer(at);
  };

  return (
    <section
      className="set-up"
      aria-label="Set-up"
      onDragOver={(event) => event.preventDefault()}
      onDrop={(event) => {
        event.preventDefault();
        sight.takeFiles([...event.dataTransfer.files]);
      }}
    >
      <div className="set-up-picture">
        <h1>Set-up</h1>
        {state.camera.kind === 'running' ? (
          <CameraPicture
            video={sight.video}
            size={state.picture ?? state.camera.source}
            rim={state.rim}
            isMirrored={state.isMirrored}
            quarterTurns={state.quarterTurns}
            onDrag={sight.dragRim}
            onDrop={sight.dropRim}
            pointer={placing ?? state.setup?.info.pointerPx ?? null}
            onPointer={placing === null ? undefined : place}
          />
        ) : (
          <CameraFault camera={state.camera} onOpen={() => void sight.openCamera(null)} />
        )}
        {state.setup === null || state.camera.kind !== 'running' ? null : (
          <>
            <Tape listen={sight.listenTape} rotationDeg={null} marks={[]} isWhole />
            <p className="muted">
              The straightened ring. Ticks upright and evenly spaced all along mean that the outline is right.
            </p>
          </>
        )}
        <StillsRead stills={state.stills} quarterTurns={state.quarterTurns} />
      </div>
      <div className="set-up-steps stack">
        <PictureStep sight={sight} state={state} isDemo={host.info?.demo === true} />
        <WheelStep sight={sight} state={state} stampedSetups={stampedSetups} />
        <TurnStep sight={sight} state={state} />
        <h2>4. Forwards</h2>
        <ForwardsQuestion state={state} onAnswer={sight.answerForwards} />
        <ScaleStep sight={sight} state={state} />
        <PointerMark sight={sight} state={state} placing={placing} onPlace={setPlacing} />
        {state.worker.kind === 'gave_up' ? (
          <Notice tone="failure">
            The wheel reader stopped ({state.worker.detail}). Everything stamped is kept; reload the page to start it
            again.
          </Notice>
        ) : null}
        {failure === null ? null : <Notice tone="failure">{failure} It is tried again by itself.</Notice>}
        <div className="row set-up-onwards">
          <LinkButton look="main" to={{ screen: 'mock-up', mockUpId, place: 'bench' }}>
            To the bench
          </LinkButton>
        </div>
      </div>
    </section>
  );
}
