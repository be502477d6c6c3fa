import type { PointerMark } from './pointer-watch.ts';
import type { ModelBase, RigidModel } from './rigid-model.ts';
import type { RingMap } from './ring-map.ts';
import type { Strip } from './strip.ts';
import type { CodedRing, TurnFindings, WheelSetup } from './types.ts';

/** A frame of the turn, kept straightened: the face as it looked when the wheel stood there. */
export interface Keyframe {
  readonly rotationDeg: number;
  /** Uncertainty of that rotation from the joint fit, degrees. */
  readonly sigmaDeg: number;
  readonly shiftX: number;
  readonly shiftY: number;
  readonly blurDeg: number;
  /** Tells the picture apart from others: a picture must not bear witness for itself. */
  readonly signature: number;
  /** Columns are face angles at rotation 0; `valid` is 0 where something covered the ring. */
  readonly ring: Strip;
  readonly face: Strip;
}

/** What the turn gave. */
export interface CalibrationState {
  readonly model: RigidModel;
  readonly base: ModelBase;
  readonly parameters: Float64Array;
  readonly covariance: Float64Array;
  readonly findings: TurnFindings;
  readonly keyframes: readonly Keyframe[];
  /** On a scale that repeats, what alone may say in which repeat the wheel stands; null where all of the face may. */
  readonly toldApartBy: OddMarks | null;
}

/** Marks that a scale's repeats don't share. */
export interface OddMarks {
  /** Quarter turns (1, 2, 3) after which the scale looks the same. */
  readonly quarters: readonly number[];
  /** Per row and column of ring and inner face 1 where they lie. */
  readonly places: Uint8Array;
}

/** Corner of the surroundings in the reference frame with the grey levels round it. */
export interface Background {
  readonly pointsPx: Float32Array;
  /** The reference picture at half size, for the optical flow: width, height, grey levels. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly grey: Uint8Array;
}

/** The coded ring with what the turn found out about it. */
export interface KnownRing extends CodedRing {
  /**
   * How a face printed off the crank axis bends the ring in the axis' own angles: a wave once round, its parts along cosine
   * and sine of the ring angle at rotation 0, degrees.
   */
  readonly bendDeg: readonly [number, number];
}

/** The set-up as the reader knows it. */
export interface SetupState extends WheelSetup {
  readonly map: RingMap;
  readonly codedRing: KnownRing | null;
  /** How evenly the ticks stood when the set-up was made. */
  readonly coherence: number;
  /** Spacing of the numerals, degrees. */
  readonly repeatDeg: number;
  /** Marks that change sign with the light are compared without it. */
  readonly polarityFree: boolean;
  readonly referenceSignature: number;
  readonly referenceRing: Strip;
  readonly referenceFace: Strip;
  readonly background: Background | null;
  readonly calibration: CalibrationState | null;
  readonly pointer: PointerMark | null;
}

export function asState(setup: WheelSetup): SetupState {
  return setup as SetupState;
}
