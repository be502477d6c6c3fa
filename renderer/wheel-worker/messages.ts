import type { CrankMovement } from '../../core/contract/readings.ts';
import type {
  CameraCheck,
  CodedRing,
  RefusalReason,
  RimEllipse,
  RingBand,
  StraightenedRing,
  TurnFindings,
  WheelReading,
} from '../../core/wheel/types.ts';
import type { PointerNews } from './pointer-watch.ts';
import type { Approach, Motion, TrackPlace } from './track.ts';

/** Times are milliseconds since the epoch on the performance clock, which page and worker share. */
export type EpochMs = number;

/** What the page asks of the worker. */
export type ToWorker =
  /** Frames of a track; the stream is transferred. */
  | { readonly kind: 'frames'; readonly readable: ReadableStream<VideoFrame>; readonly isMirrored: boolean }
  /** One frame of a recording; the frame is transferred. */
  | {
      readonly kind: 'frame';
      readonly frame: VideoFrame;
      readonly capturedAtMs: EpochMs;
      readonly isMirrored: boolean;
    }
  | { readonly kind: 'stop_frames' }
  /** Look for the wheel on the frames that come until it is found, then make a set-up of it. */
  | { readonly kind: 'find' }
  /** The operator draws the outline: what is found meanwhile must not move it. */
  | { readonly kind: 'stop_finding' }
  | { readonly kind: 'snap'; readonly rim: RimEllipse }
  /** Make a set-up with this outline from the next frame. */
  | { readonly kind: 'set_up'; readonly rim: RimEllipse }
  /** Watch the pointer from now on; it crosses the rim here. */
  | { readonly kind: 'mark_pointer'; readonly atPx: readonly [number, number] }
  | { readonly kind: 'unmark_pointer' }
  /** Take up a kept set-up again. */
  | { readonly kind: 'restore'; readonly bytes: Uint8Array; readonly isTurnComplete: boolean }
  /** Read without a set-up from now on. */
  | { readonly kind: 'forget' }
  | { readonly kind: 'stamp'; readonly stampId: string; readonly atMs: EpochMs }
  /** Reads a picture with the present set-up, or with the kept state of another one. */
  | {
      readonly kind: 're_read';
      readonly requestId: string;
      readonly picture: Blob;
      /** The picture comes from a camera that mirrors, as it is; kept pictures are un-mirrored. */
      readonly isMirrored: boolean;
      readonly state: Uint8Array | null;
    }
  /** Which part of the straightened ring is shown, or null for none. */
  | { readonly kind: 'tape'; readonly band: RingBand | null };

/** Times of one frame's steps, milliseconds. */
export interface StepTimes {
  readonly copyMs: number;
  readonly readMs: number;
  readonly tapeMs: number;
}

/** What the page shows of a set-up. */
export interface SetupInfo {
  readonly rim: RimEllipse;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly tickStepDeg: number;
  readonly modulusDeg: 360 | 180 | 90;
  readonly isCalibrated: boolean;
  readonly tiltDeg: number;
  readonly inPictureFraction: number;
  /** The printed wheel's coded ring, or that the picture shows it as in a mirror; null on any other wheel. */
  readonly codedRing: CodedRing | 'mirrored' | null;
  /** Where the pointer was marked; null where it wasn't. */
  readonly pointerPx: readonly [number, number] | null;
}

export interface TurnInfo {
  readonly arcCoveredDeg: number;
  readonly sectorsCovered: readonly boolean[];
  readonly framesUsed: number;
  readonly expectedSigmaDeg: number | null;
  readonly sentence: string;
}

export type AcceptedStamp = Extract<StampedAngle, { ok: true }>;

/** An angle that was stamped, or why there is none. */
export type StampedAngle =
  | {
      readonly ok: true;
      readonly rotationDeg: number;
      /** Standard uncertainty, movement included. */
      readonly sigmaDeg: number;
      /** From the picture that is kept of it to the signal; null where the crank was held. */
      readonly movement: CrankMovement | null;
      readonly modulusDeg: 360 | 180 | 90;
      readonly isProvisional: boolean;
      readonly frames: number;
      /** Which way the wheel last turned before the signal, as the un-mirrored picture shows it. */
      readonly approach: Approach;
      readonly motion: Motion;
    }
  | { readonly ok: false; readonly reason: RefusalReason };

export interface EvidencePicture {
  readonly jpeg: Blob;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly takenAtMs: EpochMs;
}

/** What the worker tells the page. */
export type FromWorker =
  | { readonly kind: 'ready'; readonly loadMs: number }
  /** The worker can't go on: the page starts a new one. */
  | { readonly kind: 'aborted'; readonly detail: string }
  | {
      readonly kind: 'frame_read';
      readonly capturedAtMs: EpochMs;
      readonly widthPx: number;
      readonly heightPx: number;
      /** Null while there is no set-up. */
      readonly reading: WheelReading | null;
      readonly motion: Motion;
      readonly speedDegPerS: number;
      readonly approach: Approach;
      /**
       * The latest known place, counted on over full turns; null without a track. Where this frame was refused it is an
       * earlier one, or one that the search found since.
       */
      readonly lastPlace: TrackPlace | null;
      readonly steps: StepTimes;
      readonly framesDropped: number;
      readonly tape: StraightenedRing | null;
    }
  | { readonly kind: 'frames_ended' }
  | { readonly kind: 'frame_taken' }
  /** How far the search of one picture is, 0..1. */
  | { readonly kind: 'finding'; readonly share: number }
  | { readonly kind: 'not_found'; readonly reason: RefusalReason; readonly tries: number }
  | { readonly kind: 'found'; readonly rim: RimEllipse; readonly confidence: number }
  | { readonly kind: 'snapped'; readonly rim: RimEllipse; readonly isSnapped: boolean }
  | {
      readonly kind: 'set_up_made';
      /** Made of an outline that was set down by hand, not of one that the search found. */
      readonly isByHand: boolean;
      readonly info: SetupInfo;
      readonly state: Uint8Array;
      readonly reference: EvidencePicture;
      /** How far the face seems to stand turned from the reference of the set-up before, where there was one and it matches. */
      readonly turnFromEarlierDeg: number | null;
    }
  /** An earlier set-up, where there is one, goes on being read. */
  | { readonly kind: 'set_up_refused'; readonly reason: RefusalReason }
  | { readonly kind: 'restored'; readonly info: SetupInfo }
  | { readonly kind: 'not_restored' }
  | { readonly kind: 'turn'; readonly info: TurnInfo }
  | {
      readonly kind: 'calibrated';
      readonly info: SetupInfo;
      readonly findings: TurnFindings;
      readonly state: Uint8Array;
      /** The turn covered enough to count as complete. */
      readonly isComplete: boolean;
    }
  | { readonly kind: 'calibration_refused'; readonly reason: RefusalReason }
  | { readonly kind: 'camera_checked'; readonly check: CameraCheck }
  /** The pointer is marked, or its mark is taken off. */
  | { readonly kind: 'pointer_marked'; readonly info: SetupInfo; readonly state: Uint8Array }
  /** Nothing stands out at the place that was marked. */
  | { readonly kind: 'pointer_not_marked' }
  | { readonly kind: 'pointer_seen'; readonly news: PointerNews }
  /** The first answer to a stamp, from the frames up to the signal. */
  | { readonly kind: 'stamped'; readonly stampId: string; readonly angle: StampedAngle; readonly askedAtMs: EpochMs }
  /** The stamped frame was read again by itself, and its picture is made. */
  | {
      readonly kind: 'stamp_kept';
      readonly stampId: string;
      readonly angle: StampedAngle;
      readonly picture: EvidencePicture | null;
    }
  /** The value with the frames that followed the signal: of the steady stretch around it, else between the two beside it. */
  | { readonly kind: 'stamp_refined'; readonly stampId: string; readonly angle: StampedAngle }
  | {
      readonly kind: 're_read_done';
      readonly requestId: string;
      readonly reading: WheelReading | null;
      readonly detail: string;
    };
