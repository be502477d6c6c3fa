/** Everything that can be the matter with the picture; each member has one next step. */
export type CameraState =
  | { readonly kind: 'off' }
  | { readonly kind: 'asking' }
  | { readonly kind: 'running'; readonly source: PictureSource }
  | { readonly kind: 'no_camera' }
  | { readonly kind: 'refused_by_browser' }
  | { readonly kind: 'refused_by_system' }
  | { readonly kind: 'taken'; readonly label: string }
  | { readonly kind: 'unplugged'; readonly label: string }
  | { readonly kind: 'asleep'; readonly label: string }
  | { readonly kind: 'ended'; readonly label: string }
  | { readonly kind: 'recording_unreadable'; readonly label: string }
  | { readonly kind: 'failed'; readonly detail: string };

/** Where the running picture comes from, with what the track or the file really gives. */
export interface PictureSource {
  readonly from: 'camera' | 'recording' | 'demo';
  readonly label: string;
  readonly deviceId: string;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Null where the source doesn't say. */
  readonly framesPerS: number | null;
}

/** What the one button beside the sentence does. */
export type CameraStep = 'open' | 'choose' | 'none';

export interface CameraStateText {
  readonly what: string;
  readonly remedy: string;
  readonly step: CameraStep;
  readonly stepLabel: string;
}

/** Sentence, remedy and next step of a camera state. */
export function cameraStateText(state: CameraState): CameraStateText {
  switch (state.kind) {
    case 'off':
      return text('No picture yet.', 'Open the camera that looks at the degree wheel.', 'open', 'Open the camera');
    case 'asking':
      return text('Waiting for the camera.', 'Allow the camera when the browser asks.', 'none', '');
    case 'running':
      return text(`${state.source.label} is running.`, '', 'none', '');
    case 'no_camera':
      return text(
        'No camera is connected.',
        'Plug one in; it is opened by itself. Without a camera, drop a recording here or type the wheel readings.',
        'open',
        'Look again',
      );
    case 'refused_by_browser':
      return text(
        'The camera was refused for this page.',
        'Allow it in the address bar (camera symbol), then open it again.',
        'open',
        'Open again',
      );
    case 'refused_by_system':
      return text(
        'The operating system doesn’t let this program use the camera.',
        'Allow it in the system’s privacy settings, then open it again.',
        'open',
        'Open again',
      );
    case 'taken':
      return text(
        `Another program is using ${state.label}.`,
        'Close the other program or its video call, then open the camera again.',
        'open',
        'Open again',
      );
    case 'unplugged':
      return text(
        `${state.label} was unplugged. Everything stamped is kept.`,
        'Plug it in again: it is opened by itself and the readings go on.',
        'open',
        'Look again',
      );
    case 'asleep':
      return text(
        `${state.label} sends no pictures at the moment.`,
        'Wake the computer or open the camera’s shutter; the readings go on by themselves.',
        'open',
        'Open again',
      );
    case 'ended':
      return text(
        `${state.label} stopped sending pictures. Everything stamped is kept.`,
        'Open it again; if that fails, unplug it for a moment.',
        'open',
        'Open again',
      );
    case 'recording_unreadable':
      return text(
        `${state.label} can’t be played here.`,
        'Convert it to WebM (VP9) or MP4 (H.264), for instance with ffmpeg, and drop it again.',
        'choose',
        'Choose another file',
      );
    case 'failed':
      return text(
        `The camera can’t be opened (${state.detail}).`,
        'Unplug it for a moment and open it again, or choose another one.',
        'open',
        'Open again',
      );
  }
}

function text(what: string, remedy: string, step: CameraStep, stepLabel: string): CameraStateText {
  return { what, remedy, step, stepLabel };
}

/**
 * Turns what getUserMedia threw into a camera state.
 * Chromium tells a refusal by the system from one by the person only in the message.
 */
export function stateFromError(error: unknown, label: string): CameraState {
  const name = error instanceof Error || error instanceof DOMException ? error.name : '';
  const message = error instanceof Error || error instanceof DOMException ? error.message : String(error);
  switch (name) {
    case 'NotFoundError':
    case 'DevicesNotFoundError':
    case 'OverconstrainedError':
      return { kind: 'no_camera' };
    case 'NotAllowedError':
    case 'SecurityError':
      return /system/i.test(message) ? { kind: 'refused_by_system' } : { kind: 'refused_by_browser' };
    case 'NotReadableError':
    case 'TrackStartError':
    case 'AbortError':
      return { kind: 'taken', label };
    default:
      return { kind: 'failed', detail: message === '' ? name : message };
  }
}
