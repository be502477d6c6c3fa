import { type CameraState, stateFromError } from './camera-states.ts';
import { type CameraDevice, findRemembered, listCameras } from './devices.ts';

/** The part of `navigator.mediaDevices` that is used; tests put a stand-in here. */
export type MediaDoor = Pick<
  MediaDevices,
  'enumerateDevices' | 'getUserMedia' | 'addEventListener' | 'removeEventListener'
>;

export interface CameraWish {
  /** The camera to open; null takes the remembered one, else the first. */
  readonly device: CameraDevice | null;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly framesPerS: number;
}

export const defaultWish: CameraWish = { device: null, widthPx: 1280, heightPx: 720, framesPerS: 30 };

export interface CameraListener {
  state(state: CameraState): void;
  /** A stream to show and to read, or null when there is none any more. */
  stream(stream: MediaStream | null): void;
  devices(cameras: readonly CameraDevice[]): void;
  /** The camera to remember for next time. */
  opened(device: CameraDevice): void;
}

export interface Camera {
  open(wish: CameraWish): Promise<void>;
  close(): void;
  refreshDevices(): Promise<readonly CameraDevice[]>;
  dispose(): void;
}

/**
 * One camera from permission to unplugging. It tells its listener about each change and reopens by itself what was
 * unplugged and comes back.
 */
export function createCamera(media: MediaDoor, listener: CameraListener): Camera {
  let stream: MediaStream | null = null;
  let wish: CameraWish | null = null;
  let current: CameraDevice | null = null;
  let state: CameraState = { kind: 'off' };
  /** Counts openings: an answer that comes after a newer wish is thrown away. */
  let generation = 0;
  let unhook: () => void = () => undefined;

  function tell(next: CameraState): void {
    state = next;
    listener.state(next);
  }

  function release(): void {
    unhook();
    unhook = () => undefined;
    for (const track of stream?.getTracks() ?? []) track.stop();
    if (stream !== null) listener.stream(null);
    stream = null;
  }

  async function refreshDevices(): Promise<readonly CameraDevice[]> {
    const cameras = await listCameras(media);
    listener.devices(cameras);
    return cameras;
  }

  async function open(next: CameraWish): Promise<void> {
    generation += 1;
    const mine = generation;
    release();
    wish = next;
    tell({ kind: 'asking' });
    const label = next.device?.label ?? 'the camera';
    try {
      const opened = await media.getUserMedia({ audio: false, video: await constraints(next) });
      if (mine !== generation) {
        for (const track of opened.getTracks()) track.stop();
        return;
      }
      adopt(opened);
      await refreshDevices();
    } catch (error) {
      if (mine !== generation) return;
      tell(stateFromError(error, label));
      await refreshDevices().catch(() => undefined);
    }
  }

  /** Sizes are asked with `ideal`: what the track gives is shown, nothing fails for a size. */
  async function constraints(next: CameraWish): Promise<MediaTrackConstraints> {
    const size = {
      width: { ideal: next.widthPx },
      height: { ideal: next.heightPx },
      frameRate: { ideal: next.framesPerS },
    };
    const there = findRemembered(await listCameras(media), next.device);
    return there === null || there.deviceId === '' ? size : { ...size, deviceId: { exact: there.deviceId } };
  }

  function adopt(opened: MediaStream): void {
    const track = opened.getVideoTracks()[0];
    if (track === undefined) {
      tell({ kind: 'failed', detail: 'it gives no picture' });
      return;
    }
    stream = opened;
    const settings = track.getSettings();
    const label = track.label === '' ? 'Camera' : track.label;
    current = { deviceId: settings.deviceId ?? '', label };
    const running: CameraState = {
      kind: 'running',
      source: {
        from: 'camera',
        label,
        deviceId: current.deviceId,
        widthPx: settings.width ?? 0,
        heightPx: settings.height ?? 0,
        framesPerS: settings.frameRate ?? null,
      },
    };
    const ended = (): void => void lost(label);
    const muted = (): void => tell({ kind: 'asleep', label });
    const unmuted = (): void => tell(running);
    track.addEventListener('ended', ended);
    track.addEventListener('mute', muted);
    track.addEventListener('unmute', unmuted);
    unhook = () => {
      track.removeEventListener('ended', ended);
      track.removeEventListener('mute', muted);
      track.removeEventListener('unmute', unmuted);
    };
    listener.opened(current);
    // What the picture is like must be known by whoever starts on it.
    tell(running);
    listener.stream(opened);
  }

  async function lost(label: string): Promise<void> {
    const mine = generation;
    release();
    const cameras = await refreshDevices().catch(() => []);
    if (mine !== generation) return;
    tell({ kind: findRemembered(cameras, current) === null ? 'unplugged' : 'ended', label });
  }

  async function devicesChanged(): Promise<void> {
    const cameras = await refreshDevices().catch(() => []);
    if (wish === null) return;
    const isBack = state.kind === 'unplugged' && findRemembered(cameras, current) !== null;
    const isFirst = state.kind === 'no_camera' && cameras.length > 0;
    if (isBack || isFirst) await open({ ...wish, device: isBack ? current : wish.device });
  }

  const changed = (): void => void devicesChanged();
  media.addEventListener('devicechange', changed);

  function close(): void {
    generation += 1;
    wish = null;
    release();
    tell({ kind: 'off' });
  }

  return {
    open,
    close,
    refreshDevices,
    dispose() {
      close();
      media.removeEventListener('devicechange', changed);
    },
  };
}
