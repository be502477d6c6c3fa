import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { Way, WheelSetup, WheelSetupContent } from '../../core/contract/readings.ts';
import type { RimEllipse, StraightenedRing, WheelReading } from '../../core/wheel/types.ts';
import { createCamera, defaultWish, type MediaDoor } from '../camera/camera.ts';
import type { CameraDevice } from '../camera/devices.ts';
import { trackFrames, type VideoFrames, videoFrames } from '../camera/frame-clock.ts';
import { playRecording, type Recording } from '../camera/recording.ts';
import { readLocks, setLocks } from '../camera/track-controls.ts';
import type { FromWorker } from '../wheel-worker/messages.ts';
import { startWheelWorker, type WorkerMaker } from '../wheel-worker/worker-link.ts';
import { contentAfterFit, contentOfNewSetup } from './bench-setup-rows.ts';
import {
  createSightStore,
  heard,
  latestCameraSetup,
  type SightState,
  type SightStore,
  withoutSetup,
} from './bench-sight.ts';
import { blobToBase64, fromBase64 } from './bytes-text.ts';
import { type CameraMemory, noCameraMemory, recallCamera, rememberCamera } from './camera-memory.ts';
import type { Outbox } from './outbox.ts';

export interface SightTools {
  readonly client: Client;
  readonly outbox: Outbox;
  readonly mockUpId: string;
  readonly media: MediaDoor | null;
  readonly makeWorker: WorkerMaker;
}

export interface Sight {
  readonly store: SightStore;
  /** Shows the live picture; screens put it where they want it. */
  readonly video: HTMLVideoElement;
  openCamera(device: CameraDevice | null): Promise<void>;
  /** Opens what was used last time, if anything was. @returns whether there was something */
  openRemembered(): Promise<boolean>;
  playFile(bytes: Blob, label: string, from: 'recording' | 'demo'): Promise<void>;
  closePicture(): void;
  find(): void;
  dragRim(rim: RimEllipse): void;
  dropRim(rim: RimEllipse): void;
  /** Takes up a kept set-up of the mock-up, if there is one and none is in use. */
  offerKeptSetups(setups: readonly WheelSetup[]): void;
  answerForwards(forwards: Way): void;
  changeSetup(change: Partial<WheelSetupContent>): void;
  setSize(widthPx: number, heightPx: number): Promise<void>;
  setMirrored(isMirrored: boolean): void;
  setQuarterTurns(quarterTurns: SightState['quarterTurns']): void;
  lock(wanted: 'locked' | 'free'): Promise<void>;
  stamp(stampId: string, atMs: number): void;
  reRead(picture: Blob, state: Uint8Array | null): Promise<WheelReading>;
  listen(listener: (message: FromWorker) => void): () => void;
  listenTape(listener: (ring: StraightenedRing) => void): () => void;
  close(): void;
}

const tapeSize = { widthPx: 2400, heightPx: 64 };

/** Joins camera, worker and database for one mock-up; the screens only call it and draw its store. */
export function createSight(tools: SightTools): Sight {
  const store = createSightStore();
  const video = makeVideo();
  const listeners = new Set<(message: FromWorker) => void>();
  const tapeListeners = new Set<(ring: StraightenedRing) => void>();
  const reReads = new Map<string, { resolve(reading: WheelReading): void; reject(error: Error): void }>();
  let memory: CameraMemory = noCameraMemory;
  let stream: MediaStream | null = null;
  let recording: Recording | null = null;
  let elementFrames: VideoFrames | null = null;
  let readerState: Uint8Array | null = null;
  /** Kept set-up that waits for a picture of its size. */
  let keptSetup: WheelSetup | null = null;

  const worker = startWheelWorker(tools.makeWorker, {
    said: hear,
    restarted() {
      store.setState({ worker: { kind: 'restarting' }, live: null });
      for (const waiting of reReads.values()) waiting.reject(new Error('The reader was restarted: read it once more.'));
      reReads.clear();
      worker.send({ kind: 'tape', ...tapeSize });
      const setup = store.getState().setup;
      if (readerState !== null) {
        worker.send({
          kind: 'restore',
          bytes: readerState,
          isTurnComplete: setup?.content.turnComplete ?? false,
        });
      } else if (store.getState().finding.kind === 'looking') worker.send({ kind: 'find' });
      sendFrames();
    },
    gaveUp(detail) {
      store.setState({ worker: { kind: 'gave_up', detail }, live: null });
    },
  });
  worker.send({ kind: 'tape', ...tapeSize });

  const camera =
    tools.media === null
      ? null
      : createCamera(tools.media, {
          state(next) {
            if (recording === null) store.setState({ camera: next });
          },
          stream(next) {
            stream = next;
            if (next === null) stopFrames();
            else showStream(next);
          },
          devices: (cameras) => store.setState({ cameras }),
          opened(device) {
            remember({ ...memory, device });
          },
        });
  void camera?.refreshDevices().catch(() => undefined);

  function remember(next: CameraMemory): void {
    memory = next;
    store.setState({ isMirrored: next.isMirrored, quarterTurns: next.quarterTurns });
    // Forgetting a camera costs one click next time: no reason to trouble anybody.
    rememberCamera(tools.client, next).catch(() => undefined);
  }

  function showStream(next: MediaStream): void {
    video.srcObject = next;
    void video.play().catch(() => undefined);
    const [track] = next.getVideoTracks();
    store.setState({ locks: track === undefined ? null : readLocks(track) });
    sendFrames();
    begin();
  }

  /** Whatever gives pictures at the moment sends them to the worker. */
  function sendFrames(): void {
    stopFrames();
    const [track] = stream?.getVideoTracks() ?? [];
    const readable = track === undefined ? null : trackFrames(track);
    const { isMirrored } = store.getState();
    if (readable !== null) {
      worker.send({ kind: 'frames', readable, isMirrored }, [readable as unknown as Transferable]);
    } else if (stream !== null || recording !== null) {
      elementFrames = videoFrames(video, (frame, capturedAtMs) =>
        worker.send({ kind: 'frame', frame, capturedAtMs, isMirrored }, [frame]),
      );
    }
  }

  function stopFrames(): void {
    elementFrames?.stop();
    elementFrames = null;
    worker.send({ kind: 'stop_frames' });
  }

  /** A picture is there: take the kept set-up up again, or look for the wheel. */
  function begin(): void {
    const state = store.getState();
    if (state.setup !== null) return;
    const kept = keptSetup;
    if (kept?.readerState != null && fitsPicture(kept)) {
      takeUp(kept, kept.readerState);
      return;
    }
    find();
  }

  function fitsPicture(setup: WheelSetup): boolean {
    const { camera: state } = store.getState();
    return (
      state.kind === 'running' &&
      state.source.widthPx === setup.pictureWidthPx &&
      state.source.heightPx === setup.pictureHeightPx
    );
  }

  function takeUp(setup: WheelSetup, text: string): void {
    const { id, workplaceId: _workplace, createdAt: _time, ...content } = setup;
    readerState = fromBase64(text);
    store.setState({ setup: { id, content, info: placeholderInfo(setup) }, finding: { kind: 'taken_up_again' } });
    worker.send({ kind: 'restore', bytes: readerState, isTurnComplete: setup.turnComplete });
  }

  function find(): void {
    readerState = null;
    store.setState({ ...withoutSetup(store.getState()), finding: { kind: 'looking', tries: 0, reason: null } });
    worker.send({ kind: 'find' });
  }

  function hear(message: FromWorker): void {
    if (message.kind === 'frame_taken') elementFrames?.taken();
    if (message.kind === 're_read_done') answerReRead(message);
    const before = store.getState();
    if (message.kind === 'frame_read' && message.tape !== null) {
      for (const listener of tapeListeners) listener(message.tape);
    }
    store.setState(heard(before, message));
    if (message.kind === 'set_up_made') keepNewSetup(message, before.setup?.content ?? keptSetup);
    if (message.kind === 'calibrated') keepFit(message);
    if (message.kind === 'not_restored') find();
    // A dropped outline counts once it lies on the rim: the set-up is made of the next frame.
    if (message.kind === 'snapped') worker.send({ kind: 'set_up', rim: message.rim });
    for (const listener of listeners) listener(message);
  }

  function answerReRead(message: Extract<FromWorker, { kind: 're_read_done' }>): void {
    const waiting = reReads.get(message.requestId);
    reReads.delete(message.requestId);
    if (message.reading === null) waiting?.reject(new Error(message.detail));
    else waiting?.resolve(message.reading);
  }

  function keepNewSetup(message: Extract<FromWorker, { kind: 'set_up_made' }>, before: WheelSetupContent | null): void {
    readerState = message.state;
    const id = newId();
    const pictureId = newId();
    const content = contentOfNewSetup(tools.mockUpId, store.getState().camera, message, pictureId, before);
    store.setState({ setup: { id, content, info: message.info } });
    const { jpeg, widthPx, heightPx } = message.reference;
    tools.outbox.put('The set-up', async () => {
      const picture = {
        id: pictureId,
        mime: 'image/jpeg' as const,
        widthPx,
        heightPx,
        bytes: await blobToBase64(jpeg),
      };
      await tools.client.call('setup.create', { id, content, pictures: [picture] });
    });
  }

  function keepFit(message: Extract<FromWorker, { kind: 'calibrated' }>): void {
    readerState = message.state;
    const { setup } = store.getState();
    if (setup !== null) keep(contentAfterFit(setup.content, message));
  }

  function keep(content: WheelSetupContent): void {
    const { setup } = store.getState();
    if (setup === null) return;
    store.setState({ setup: { ...setup, content } });
    tools.outbox.put('The set-up', async () => {
      await tools.client.call('setup.update', { id: setup.id, content });
    });
  }

  async function openCamera(device: CameraDevice | null): Promise<void> {
    stopRecording();
    if (camera === null) {
      store.setState({ camera: { kind: 'no_camera' } });
      return;
    }
    await camera.open({
      ...defaultWish,
      widthPx: memory.widthPx,
      heightPx: memory.heightPx,
      device: device ?? memory.device,
    });
  }

  function stopRecording(): void {
    recording?.dispose();
    recording = null;
  }

  const recalled = recallCamera(tools.client)
    .then((kept) => {
      memory = kept;
      store.setState({ isMirrored: kept.isMirrored, quarterTurns: kept.quarterTurns });
    })
    .catch(() => undefined);

  return {
    store,
    video,
    openCamera,
    async openRemembered() {
      await recalled;
      if (memory.device === null || store.getState().camera.kind !== 'off') return false;
      await openCamera(memory.device);
      return true;
    },
    async playFile(bytes, label, from) {
      camera?.close();
      stopRecording();
      stopFrames();
      const next = await playRecording(video, bytes, label, from);
      store.setState({ camera: next.state, locks: null });
      if (next.state.kind !== 'running') return;
      recording = next;
      sendFrames();
      begin();
    },
    closePicture() {
      stopFrames();
      stopRecording();
      camera?.close();
      store.setState({ camera: { kind: 'off' }, live: null });
    },
    find,
    dragRim(rim) {
      store.setState({ rim, finding: { kind: 'by_hand', isSnapped: null } });
    },
    dropRim(rim) {
      store.setState({ rim, finding: { kind: 'by_hand', isSnapped: null } });
      worker.send({ kind: 'snap', rim });
    },
    offerKeptSetups(setups) {
      keptSetup = latestCameraSetup(setups);
      const state = store.getState();
      if (
        state.setup === null &&
        keptSetup !== null &&
        state.camera.kind === 'running' &&
        state.finding.kind !== 'looking'
      )
        begin();
    },
    answerForwards(forwards) {
      const { setup } = store.getState();
      if (setup !== null) keep({ ...setup.content, forwards });
    },
    changeSetup(change) {
      const { setup } = store.getState();
      if (setup !== null) keep({ ...setup.content, ...change });
    },
    async setSize(widthPx, heightPx) {
      remember({ ...memory, widthPx, heightPx });
      await openCamera(memory.device);
    },
    setMirrored(isMirrored) {
      remember({ ...memory, isMirrored });
      sendFrames();
      find();
    },
    setQuarterTurns(quarterTurns) {
      remember({ ...memory, quarterTurns });
    },
    async lock(wanted) {
      const [track] = stream?.getVideoTracks() ?? [];
      if (track !== undefined) store.setState({ locks: await setLocks(track, wanted) });
    },
    stamp(stampId, atMs) {
      worker.send({ kind: 'stamp', stampId, atMs });
    },
    reRead(picture, state) {
      const requestId = newId();
      return new Promise((resolve, reject) => {
        reReads.set(requestId, { resolve, reject });
        worker.send({ kind: 're_read', requestId, picture, state });
      });
    },
    listen(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    listenTape(listener) {
      tapeListeners.add(listener);
      return () => tapeListeners.delete(listener);
    },
    close() {
      elementFrames?.stop();
      stopRecording();
      camera?.dispose();
      worker.close();
      video.remove();
    },
  };
}

function makeVideo(): HTMLVideoElement {
  const video = document.createElement('video');
  video.muted = true;
  video.playsInline = true;
  video.dataset['testid'] = 'camera-picture';
  video.setAttribute('aria-label', 'Camera picture');
  return video;
}

/** Stands for the reader's own figures until it has taken the set-up up again. */
function placeholderInfo(setup: WheelSetup) {
  return {
    rim: { centrePx: [0, 0], fullAxesPx: [0, 0], angleDeg: 0 } as const,
    widthPx: setup.pictureWidthPx ?? 0,
    heightPx: setup.pictureHeightPx ?? 0,
    tickStepDeg: 1,
    modulusDeg: 360 as const,
    isCalibrated: setup.turnComplete,
    tiltDeg: 0,
    inPictureFraction: 1,
  };
}
