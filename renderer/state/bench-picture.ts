import type { Client } from '../../core/contract/client.ts';
import { createCamera, type MediaDoor } from '../camera/camera.ts';
import type { CameraDevice } from '../camera/devices.ts';
import { trackFrames, type VideoFrames, videoFrames } from '../camera/frame-clock.ts';
import { playRecording, type Recording } from '../camera/recording.ts';
import { offeredModes, readLocks, setLocks } from '../camera/track-controls.ts';
import type { ToWorker } from '../wheel-worker/messages.ts';
import type { SightState, SightStore } from './bench-sight.ts';
import { type CameraMemory, noCameraMemory, recallCamera, rememberCamera } from './camera-memory.ts';

export interface PictureTools {
  readonly client: Client;
  readonly media: MediaDoor | null;
  readonly store: SightStore;
  send(message: ToWorker, transfer?: Transferable[]): void;
  /** A picture is there. */
  begun(): void;
}

/** Whatever gives pictures: a camera, a recording or the demo. It sends its frames to the worker. */
export interface PictureSourceControl {
  readonly video: HTMLVideoElement;
  openCamera(device: CameraDevice | null): Promise<void>;
  /** Opens what was used last time, if anything was. @returns whether there was something */
  openRemembered(): Promise<boolean>;
  playFile(bytes: Blob, label: string, from: 'recording' | 'demo'): Promise<void>;
  closePicture(): void;
  setMode(mode: { readonly widthPx: number; readonly heightPx: number; readonly framesPerS: number }): Promise<void>;
  setMirrored(isMirrored: boolean): void;
  setQuarterTurns(quarterTurns: SightState['quarterTurns']): void;
  lock(wanted: 'locked' | 'free'): Promise<void>;
  /** The worker has finished with the frame sent last. */
  frameTaken(): void;
  sendFrames(): void;
  close(): void;
}

/** Joins camera, recordings and what is remembered of them; the screens see it in the sight store. */
export function createPictureSource({ client, media, store, send, begun }: PictureTools): PictureSourceControl {
  const video = makeVideo();
  let memory: CameraMemory = noCameraMemory;
  let stream: MediaStream | null = null;
  let recording: Recording | null = null;
  let elementFrames: VideoFrames | null = null;

  const camera =
    media === null
      ? null
      : createCamera(media, {
          state(next) {
            if (recording !== null) return;
            // Without pictures there is no reading: what was read last must not look alive.
            store.setState(
              next.kind === 'running' ? { camera: next } : { camera: next, live: null, shownRotationDeg: null },
            );
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
    rememberCamera(client, next).catch(() => undefined);
  }

  function showStream(next: MediaStream): void {
    video.srcObject = next;
    void video.play().catch(() => undefined);
    const [track] = next.getVideoTracks();
    store.setState(
      track === undefined ? { locks: null, offered: null } : { locks: readLocks(track), offered: offeredModes(track) },
    );
    // A camera that was pulled out comes back with everything free.
    if (memory.isLocked) void lock('locked');
    sendFrames();
    begun();
  }

  /** Whatever gives pictures at the moment sends them to the worker. */
  function sendFrames(): void {
    stopFrames();
    const [track] = stream?.getVideoTracks() ?? [];
    const readable = track === undefined ? null : trackFrames(track);
    const { isMirrored } = store.getState();
    if (readable !== null) {
      send({ kind: 'frames', readable, isMirrored }, [readable as unknown as Transferable]);
    } else if (stream !== null || recording !== null) {
      elementFrames = videoFrames(video, (frame, capturedAtMs) =>
        send({ kind: 'frame', frame, capturedAtMs, isMirrored }, [frame]),
      );
    }
  }

  function stopFrames(): void {
    elementFrames?.stop();
    elementFrames = null;
    send({ kind: 'stop_frames' });
  }

  function stopRecording(): void {
    recording?.dispose();
    recording = null;
  }

  async function openCamera(device: CameraDevice | null): Promise<void> {
    stopRecording();
    if (camera === null) {
      store.setState({ camera: { kind: 'no_camera' } });
      return;
    }
    const { widthPx, heightPx, framesPerS } = memory;
    await camera.open({ widthPx, heightPx, framesPerS, device: device ?? memory.device });
  }

  async function lock(wanted: 'locked' | 'free'): Promise<void> {
    if (memory.isLocked !== (wanted === 'locked')) remember({ ...memory, isLocked: wanted === 'locked' });
    const [track] = stream?.getVideoTracks() ?? [];
    if (track !== undefined) store.setState({ locks: await setLocks(track, wanted) });
  }

  const recalled = recallCamera(client)
    .then((kept) => {
      memory = kept;
      store.setState({ isMirrored: kept.isMirrored, quarterTurns: kept.quarterTurns });
    })
    .catch(() => undefined);

  return {
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
      store.setState({ camera: next.state, locks: null, offered: null, live: null });
      if (next.state.kind !== 'running') return;
      recording = next;
      sendFrames();
      begun();
    },
    closePicture() {
      stopFrames();
      stopRecording();
      camera?.close();
      store.setState({ camera: { kind: 'off' }, live: null, shownRotationDeg: null });
    },
    async setMode(mode) {
      remember({ ...memory, ...mode });
      await openCamera(memory.device);
    },
    setMirrored(isMirrored) {
      remember({ ...memory, isMirrored });
      sendFrames();
    },
    setQuarterTurns(quarterTurns) {
      remember({ ...memory, quarterTurns });
    },
    lock,
    frameTaken() {
      elementFrames?.taken();
    },
    sendFrames,
    close() {
      elementFrames?.stop();
      stopRecording();
      camera?.dispose();
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
