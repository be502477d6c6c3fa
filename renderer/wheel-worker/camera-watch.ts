import type { CameraCheck, RefusalReason, WheelReader, WheelReading, WheelSetup } from '../../core/wheel/types.ts';
import type { KeptFrame } from './kept-frames.ts';
import type { FromWorker } from './messages.ts';
import { PointerWatch } from './pointer-watch.ts';

const checkEveryMs = 1000;
const recheckMs = 250;
/** What a ring looks like through a camera that points elsewhere. */
const mayBeMovedCamera: ReadonlySet<RefusalReason> = new Set(['wheel_moved', 'nothing_matches', 'position_not_unique']);

/** Looks beside the ring from time to time: whether the camera, and the pointer, still stand where the set-up saw them. */
export class CameraWatch {
  readonly #reader: Pick<WheelReader, 'checkCamera' | 'checkPointer'>;
  readonly #post: (message: FromWorker) => void;
  readonly #pointerWatch = new PointerWatch();
  #checkedMs = 0;
  #check: CameraCheck | null = null;

  constructor(reader: Pick<WheelReader, 'checkCamera' | 'checkPointer'>, post: (message: FromWorker) => void) {
    this.#reader = reader;
    this.#post = post;
  }

  /** Looks if the last look was long enough ago. */
  lookWhenDue(kept: KeptFrame, setup: WheelSetup): void {
    if (kept.timeMs - this.#checkedMs >= checkEveryMs) this.#look(kept, setup);
  }

  /** A live frame is judged by its ring alone: where that doesn't fit any more, a moved camera is the better reason. */
  withBestReason(kept: KeptFrame, setup: WheelSetup, reading: WheelReading): WheelReading {
    if (reading.accepted || !mayBeMovedCamera.has(reading.reason)) return reading;
    const isFresh = kept.timeMs - this.#checkedMs < recheckMs;
    const check = isFresh ? this.#check : this.#look(kept, setup);
    return check?.state === 'moved' ? { ...reading, reason: 'camera_moved' } : reading;
  }

  /** The pointer was marked anew: what was seen of it before counts no more. */
  forgetPointer(): void {
    this.#pointerWatch.clear();
  }

  forget(): void {
    this.#check = null;
    this.#pointerWatch.clear();
  }

  #look(kept: KeptFrame, setup: WheelSetup): CameraCheck {
    this.#checkedMs = kept.timeMs;
    const check: CameraCheck =
      kept.widthPx === setup.widthPx && kept.heightPx === setup.heightPx
        ? this.#reader.checkCamera(setup, kept.grey)
        : { state: 'cannot_check', shiftPx: null, corners: 0 };
    this.#check = check;
    this.#post({ kind: 'camera_checked', check });
    if (check.state === 'still') this.#lookAtPointer(kept, setup);
    return check;
  }

  /** A camera that stands still: what changes at the pointer's place is the pointer, or something before it. */
  #lookAtPointer(kept: KeptFrame, setup: WheelSetup): void {
    const seen = this.#reader.checkPointer(setup, kept.grey);
    const news = seen === null ? null : this.#pointerWatch.look(seen);
    if (news !== null) this.#post({ kind: 'pointer_seen', news });
  }
}
