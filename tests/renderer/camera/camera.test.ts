import { expect, test } from 'vitest';
import { type CameraListener, createCamera, defaultWish, type MediaDoor } from '../../../renderer/camera/camera.ts';
import { type CameraState, cameraStateText } from '../../../renderer/camera/camera-states.ts';
import { readLocks, setLocks } from '../../../renderer/camera/track-controls.ts';

/** Stands in for the browser's media devices: cameras can be plugged in, pulled out and taken. */
class FakeMedia extends EventTarget {
  labels: string[] = [];
  refusal: Error | null = null;
  track: FakeTrack | null = null;

  async enumerateDevices(): Promise<MediaDeviceInfo[]> {
    return this.labels.map((label) => ({ kind: 'videoinput', deviceId: `id of ${label}`, label }) as MediaDeviceInfo);
  }

  async getUserMedia(): Promise<MediaStream> {
    if (this.refusal !== null) throw this.refusal;
    const [label] = this.labels;
    if (label === undefined) throw new DOMException('none', 'NotFoundError');
    const track = new FakeTrack(label);
    this.track = track;
    return { getVideoTracks: () => [track], getTracks: () => [track] } as unknown as MediaStream;
  }
}

class FakeTrack extends EventTarget {
  readonly label: string;
  constructor(label: string) {
    super();
    this.label = label;
  }
  getSettings() {
    return { width: 1280, height: 720, frameRate: 30, deviceId: `id of ${this.label}` };
  }
  stop(): void {}
}

function opened(media: FakeMedia) {
  const states: CameraState[] = [];
  const listener: CameraListener = {
    state: (state) => states.push(state),
    stream: () => {},
    devices: () => {},
    opened: () => {},
  };
  return { camera: createCamera(media as unknown as MediaDoor, listener), states };
}

const settle = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 5));

test.each([
  ['NotAllowedError', 'Permission denied', 'refused_by_browser'],
  ['NotAllowedError', 'Permission denied by system', 'refused_by_system'],
  ['NotReadableError', 'Could not start video source', 'taken'],
  ['NotFoundError', 'Requested device not found', 'no_camera'],
])('%s (%s) becomes the state %s with a next step', async (name, message, kind) => {
  const media = new FakeMedia();
  media.labels = ['Bench camera'];
  media.refusal = new DOMException(message, name);
  const { camera, states } = opened(media);
  await camera.open(defaultWish);
  const last = states.at(-1);
  expect(last?.kind).toBe(kind);
  expect(last === undefined ? '' : cameraStateText(last).remedy).not.toBe('');
});

test('a camera pulled out in the middle is named and opened by itself when it comes back', async () => {
  const media = new FakeMedia();
  media.labels = ['Bench camera'];
  const { camera, states } = opened(media);
  await camera.open(defaultWish);
  expect(states.at(-1)?.kind).toBe('running');
  media.labels = [];
  media.track?.dispatchEvent(new Event('ended'));
  await settle();
  expect(states.at(-1)).toEqual({ kind: 'unplugged', label: 'Bench camera' });
  media.labels = ['Bench camera'];
  media.dispatchEvent(new Event('devicechange'));
  await settle();
  expect(states.at(-1)?.kind).toBe('running');
});

test('a camera that goes to sleep and wakes is told without losing it', async () => {
  const media = new FakeMedia();
  media.labels = ['Bench camera'];
  const { camera, states } = opened(media);
  await camera.open(defaultWish);
  media.track?.dispatchEvent(new Event('mute'));
  expect(states.at(-1)?.kind).toBe('asleep');
  media.track?.dispatchEvent(new Event('unmute'));
  expect(states.at(-1)?.kind).toBe('running');
});

test('a control that the camera refuses does not keep the others from locking', async () => {
  const settings: Record<string, string> = { exposureMode: 'continuous', focusMode: 'continuous' };
  const track = {
    getSettings: () => settings,
    getCapabilities: () => ({ exposureMode: ['continuous', 'manual'], focusMode: ['continuous', 'manual'] }),
    async applyConstraints(constraints?: MediaTrackConstraints) {
      const [set] = constraints?.advanced ?? [];
      if (set !== undefined && 'exposureMode' in set) throw new DOMException('refused', 'OverconstrainedError');
      Object.assign(settings, set);
    },
  };
  expect(readLocks(track as never)).toEqual({ exposure: 'free', focus: 'free', white_balance: 'not_offered' });
  expect(await setLocks(track as never, 'locked')).toEqual({
    exposure: 'free',
    focus: 'locked',
    white_balance: 'not_offered',
  });
});
