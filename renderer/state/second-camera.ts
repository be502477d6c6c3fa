import { createStore, type StoreApi } from 'zustand/vanilla';
import { createCamera, defaultWish, type MediaDoor } from '../camera/camera.ts';
import { type CameraState, cameraStateText } from '../camera/camera-states.ts';
import type { CameraDevice } from '../camera/devices.ts';
import type { EvidencePicture } from '../wheel-worker/messages.ts';
import { nowMsOfPage } from './page-clock.ts';

export interface SecondCameraState {
  readonly camera: CameraState;
  readonly devices: readonly CameraDevice[];
}

/** Another camera or a borescope at the port: its picture is shown beside the wheel and kept with each stamp. */
export interface SecondCamera {
  readonly store: StoreApi<SecondCameraState>;
  readonly video: HTMLVideoElement;
  choose(device: CameraDevice | null): void;
  /** The picture of this moment, or null where there is none: nothing waits for a second camera. */
  picture(): Promise<EvidencePicture | null>;
  close(): void;
}

const evidenceQuality = 0.85;

export function createSecondCamera(media: MediaDoor | null): SecondCamera {
  const store = createStore<SecondCameraState>(() => ({ camera: { kind: 'off' }, devices: [] }));
  const video = document.createElement('video');
  video.muted = true;
  video.playsInline = true;
  const camera =
    media === null
      ? null
      : createCamera(media, {
          state: (next) => store.setState({ camera: next }),
          stream(stream) {
            video.srcObject = stream;
            if (stream !== null) void video.play().catch(() => undefined);
          },
          devices: (devices) => store.setState({ devices }),
          opened: () => undefined,
        });
  void camera?.refreshDevices().catch(() => undefined);

  async function picture(): Promise<EvidencePicture | null> {
    const { videoWidth: widthPx, videoHeight: heightPx } = video;
    if (store.getState().camera.kind !== 'running' || widthPx === 0) return null;
    const canvas = new OffscreenCanvas(widthPx, heightPx);
    const context = canvas.getContext('2d');
    if (context === null) return null;
    // Drawn at once: only the packing may take its time.
    context.drawImage(video, 0, 0);
    const takenAtMs = nowMsOfPage();
    const jpeg = await canvas.convertToBlob({ type: 'image/jpeg', quality: evidenceQuality });
    return { jpeg, widthPx, heightPx, takenAtMs };
  }

  return {
    store,
    video,
    choose(device) {
      if (device === null) camera?.close();
      else void camera?.open({ ...defaultWish, device });
    },
    picture,
    close() {
      camera?.dispose();
    },
  };
}

/** What is wrong with the second camera, or null. */
export function secondCameraTrouble(state: CameraState): string | null {
  if (state.kind === 'off' || state.kind === 'running' || state.kind === 'asking') return null;
  const { what, remedy } = cameraStateText(state);
  return `Second camera: ${what} ${remedy} Stamps are taken without its picture.`;
}
