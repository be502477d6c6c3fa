/**
 * What the wheel reader takes and gives. Pixel (0, 0) is the centre of the top-left pixel, x to the right, y downwards.
 * Every rotation is clockwise as the un-mirrored camera picture shows it, counted from the set-up's reference frame.
 */

/** One grey picture: the Y plane of a camera frame, or luma made from a decoded still. Full or limited range alike. */
export interface GreyPicture {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Bytes from one row to the next, at least `widthPx`. */
  readonly stride: number;
  readonly data: Uint8Array;
}

/** Outline of the wheel's rim in the picture. */
export interface RimEllipse {
  readonly centrePx: readonly [number, number];
  /** Both full axes; the first one lies along `angleDeg`. */
  readonly fullAxesPx: readonly [number, number];
  /** Direction of the first axis, degrees from +x towards +y (clockwise on screen). */
  readonly angleDeg: number;
}

/** Why a picture got no angle. Every member has its sentence and remedy in `refusals.ts`. */
export type RefusalReason =
  | 'moving_too_fast'
  | 'hand_over_rim'
  | 'glare'
  | 'too_dark'
  | 'out_of_focus'
  | 'wheel_not_whole'
  | 'camera_moved'
  | 'wheel_moved'
  | 'position_not_unique'
  | 'wheel_not_found'
  | 'ticks_not_resolvable'
  | 'too_uncertain'
  | 'no_picture'
  | 'nothing_matches'
  | 'picture_size_changed'
  | 'turn_too_short'
  | 'model_does_not_fit';

export type FoundWheel =
  | {
      readonly ok: true;
      readonly rim: RimEllipse /** 0..1; below 0.5 ask the operator to look. */;
      readonly confidence: number;
    }
  | { readonly ok: false; readonly reason: RefusalReason };

/** Figures behind a verdict, for the diagnostics panel and the tests. */
export interface ReadingDiagnostics {
  /** Share of the ring's sectors that were in the picture and matched, 0..1. */
  readonly coveredFraction: number;
  /** Share of the ring's sectors that could have matched, being in the picture and known of the face, 0..1. */
  readonly inViewFraction: number;
  /** Median over the sectors of their normalised correlation with the face, -1..1. */
  readonly medianNcc: number;
  /** Median over the sectors of the marks' contrast, grey levels. */
  readonly contrast: number;
  /** Spread of the sectors' angles about the answer, degrees. */
  readonly residualDeg: number;
  /** Rotation during the exposure that explains the picture best, degrees. */
  readonly blurDeg: number;
  /** Strength of the proof that no other position fits, in standard deviations; 0 where continuity alone carried it. */
  readonly uniquenessZ: number;
  /** Shift of the ring against the model, pixels. */
  readonly ringShiftPx: number;
}

interface ReadingBase {
  /** True before the turn is complete: the uncertainty is wider, read the kept picture again later. */
  readonly provisional: boolean;
  /** 360, or 180 or 90 where the whole face repeats and nothing tells the positions apart. */
  readonly modulusDeg: 360 | 180 | 90;
  readonly diagnostics: ReadingDiagnostics;
}

/** An angle that may be used unattended. */
export interface AcceptedReading extends ReadingBase {
  readonly accepted: true;
  /** In [0, modulusDeg). */
  readonly rotationDeg: number;
  /** Standard uncertainty, degrees. */
  readonly sigmaDeg: number;
  readonly reason: null;
  readonly trackedDeg: number;
}

/** No angle, and why. */
export interface RefusedReading extends ReadingBase {
  readonly accepted: false;
  readonly rotationDeg: null;
  readonly sigmaDeg: null;
  readonly reason: RefusalReason;
  /** Where the wheel probably stands, to go on tracking from; never to be shown as a reading. Null when the track is lost. */
  readonly trackedDeg: number | null;
}

export type WheelReading = AcceptedReading | RefusedReading;

/** Where the wheel was a moment ago; lets the next frame be read quickly. */
export interface TrackState {
  /** `trackedDeg` of the reading before. */
  readonly rotationDeg: number;
  readonly velocityDegPerS: number;
  /** Time from that frame to this one, seconds. */
  readonly elapsedS: number;
}

export interface ReadOptions {
  /** Frame before this one, or null for none: then the whole turn is searched. */
  readonly previous?: TrackState | null;
  /**
   * `track`: a live frame; uniqueness is checked cheaply and continuity may carry the position.
   * `full`: a stamp or a still; uniqueness is proven from this picture alone. Default `full`.
   */
  readonly effort?: 'track' | 'full';
  /**
   * Whether a live frame that has lost its track is searched for over the whole turn, which takes the time of several
   * frames. Default true; with false it is refused. Only a calibrated set-up can do without.
   */
  readonly search?: boolean;
}

/** What is known of one fixed place of camera and wheel. Opaque: use the functions of `WheelReader`. */
export interface WheelSetup {
  readonly kind: 'portsight-wheel-setup';
  readonly widthPx: number;
  readonly heightPx: number;
  readonly rim: RimEllipse;
  /** Step of the finest ticks, degrees. */
  readonly tickStepDeg: number;
  /** Angle after which the whole face repeats, as far as is known. */
  readonly modulusDeg: 360 | 180 | 90;
  /** True once the turn has given the rigid model. */
  readonly calibrated: boolean;
  /** Tilt of the wheel's axis against the line of sight, degrees. */
  readonly tiltDeg: number;
  /** Share of the ring that lies in the picture, 0..1. */
  readonly inPictureFraction: number;
  /** The printed wheel's coded ring; null on any other wheel, or where the reference frame doesn't show it. */
  readonly codedRing: CodedRing | null;
  /** Where the operator marked the pointer, which is then watched; null where it wasn't marked. */
  readonly pointerPx: readonly [number, number] | null;
}

/** The coded ring of a printed wheel, as the reference frame shows it. */
export interface CodedRing {
  /** Which way the numbers run on the face. */
  readonly grows: 'clockwise' | 'anticlockwise';
  /**
   * Zero mark of the wheel in the reference frame: degrees clockwise in the wheel's plane, as the camera sees it, from the
   * direction that the picture shows straight above the wheel's centre; in [0, 360). At any other rotation it is the sum
   * of this and `rotationDeg`.
   */
  readonly absoluteDeg: number;
  readonly sigmaDeg: number;
}

/** What the coded ring of one picture says by itself, without any other picture. */
export type CodedReading =
  | (CodedRing & {
      readonly state: 'read';
      /** Arc of the ring that proves the place, degrees, 60 at least. */
      readonly arcDeg: number;
      /** Reserve of that proof, 0 (just proven) to 1 (no cell misread). */
      readonly margin: number;
      /**
       * What the scale shows at the point asked about (the pointer's tip), as the wheel itself is read there, eccentricity
       * included; degrees in [0, 360). Null where no point was given or the ring
       * isn't seen beside it.
       */
      readonly underPointerDeg: number | null;
    })
  /** The ring is there, but the picture shows it as in a mirror: undo the mirroring first. */
  | { readonly state: 'mirrored' }
  /** No coded ring, or too little of it to be certain. */
  | { readonly state: 'not_seen' };

export type SetupOutcome =
  | { readonly ok: true; readonly setup: WheelSetup }
  | { readonly ok: false; readonly reason: RefusalReason };

/** Where the turn stands. */
export interface TurnProgress {
  /** Arc between the outermost accepted frames, degrees, at most 360. */
  readonly arcCoveredDeg: number;
  /** One entry per 10 degrees of crank rotation, true where a frame was kept. */
  readonly sectorsCovered: readonly boolean[];
  readonly framesUsed: number;
  /** Standard uncertainty to expect from the model if the turn ended now; null with fewer than three frames. */
  readonly expectedSigmaDeg: number | null;
  /** Plain words: what is still missing. */
  readonly sentence: string;
  /** The reading of this frame, provisional. */
  readonly reading: WheelReading;
}

/** A turn under way; opaque. */
export interface Turn {
  readonly kind: 'portsight-turn';
}

/** The frames that a turn has kept so far, as plain data: it can be handed to another thread and fitted there. Opaque. */
export interface TurnRecord {
  readonly kind: 'portsight-turn-record';
}

/** What the turn found. */
export interface TurnFindings {
  /** Root mean square of what the model leaves unexplained, degrees. */
  readonly residualDeg: number;
  /** Distance of the face's centre from the crank axis, in rim radii. */
  readonly eccentricityOfRadius: number;
  readonly runOutDeg: number;
  readonly arcCoveredDeg: number;
  readonly tiltDeg: number;
  readonly focalLengthPx: number;
  readonly framesUsed: number;
}

export type TurnOutcome =
  | { readonly ok: true; readonly setup: WheelSetup; readonly findings: TurnFindings }
  | { readonly ok: false; readonly reason: RefusalReason };

/** Which part of the ring is unrolled, and how large. */
export interface RingBand {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Where the band begins: degrees clockwise in the wheel's plane from the direction that lies to the right in the picture. Default 0. */
  readonly fromDeg?: number;
  /** How much of the ring it shows, degrees. Default 360. */
  readonly spanDeg?: number;
}

/** The ring unrolled into a band: columns run along the ring, clockwise in the picture; rows run from the inner edge to the rim. */
export interface StraightenedRing {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Grey, row after row; columns outside the picture are 0. */
  readonly grey: Uint8Array;
}

/** Where the pointer stands against the place at which it was marked. */
export type PointerCheck =
  /** Degrees clockwise in the picture along the rim, to about a quarter of a degree. */
  | { readonly state: 'there' | 'moved'; readonly shiftDeg: number }
  /** Something is before it, or it was moved far. */
  | { readonly state: 'not_seen'; readonly shiftDeg: null };

export type CameraCheck =
  | { readonly state: 'still' | 'moved'; readonly shiftPx: number; readonly corners: number }
  /** Too little to hold on to in the background. */
  | { readonly state: 'cannot_check'; readonly shiftPx: null; readonly corners: number };

/**
 * The reader, bound to its image operations (`createWheelReader(createImageOps(cv))`).
 * It keeps working memory between calls, so one reader serves one thread.
 */
export interface WheelReader {
  /** Finds the wheel by itself. */
  findWheel(picture: GreyPicture): FoundWheel;
  /** The same in short steps, each telling the share that is done, 0..1; the picture must stay as it is until the end. */
  findWheelSteps(picture: GreyPicture): Generator<number, FoundWheel>;
  /** Moves a dragged outline (up to some 10 px off) on to the rim; gives it back unchanged where no edge is near. */
  snapRim(picture: GreyPicture, dragged: RimEllipse): { readonly rim: RimEllipse; readonly snapped: boolean };
  /** Makes a set-up from the reference frame and its rim. */
  createSetup(reference: GreyPicture, rim: RimEllipse): SetupOutcome;
  /** Reads one picture. */
  readFrame(setup: WheelSetup, picture: GreyPicture, options?: ReadOptions): WheelReading;
  /**
   * Reads the coded ring of a printed wheel: where the wheel stands, from this picture alone.
   * @param pointerPx a point of the picture whose scale value is wanted
   */
  readCodedRing(setup: WheelSetup, picture: GreyPicture, pointerPx?: readonly [number, number]): CodedReading;
  startTurn(setup: WheelSetup): Turn;
  /** Offers a frame of the turn; the turn keeps what it needs (not the picture). `elapsedS` since the frame before, or null for stills in any order. */
  addTurnFrame(turn: Turn, picture: GreyPicture, elapsedS: number | null): TurnProgress;
  /** Takes up a frame that was read with the model fitted so far. Cheap; the next fit matches it with the others. */
  widenTurn(turn: Turn, picture: GreyPicture, reading: AcceptedReading): TurnProgress;
  /** Fits the rigid model. The turn stays open: more frames may be added and it may be finished again. */
  finishTurn(turn: Turn): TurnOutcome;
  /** What `fitTurn` needs to do the same in another thread; hand it over at once, since the turn goes on using its parts. */
  recordOfTurn(turn: Turn): TurnRecord;
  /** Unrolls the ring; with a rotation (degrees) the face stands still, with null the camera's view does. `into` is reused when it fits. */
  straightenedRing(
    setup: WheelSetup,
    picture: GreyPicture,
    rotationDeg: number | null,
    band?: RingBand,
    into?: Uint8Array,
  ): StraightenedRing;
  /**
   * How far the face stands turned between the reference frames of two set-ups, camera roll included: a check, not a
   * reading. Null where the faces can't be matched.
   */
  turnBetween(earlier: WheelSetup, later: WheelSetup): number | null;
  /** Compares the surroundings of the wheel with the reference frame. */
  checkCamera(setup: WheelSetup, picture: GreyPicture): CameraCheck;
  /**
   * The same set-up with the pointer marked where it crosses the rim, as this picture shows it.
   * @returns null where nothing stands out there that could be known again
   */
  markPointer(setup: WheelSetup, picture: GreyPicture, atPx: readonly [number, number]): WheelSetup | null;
  /** The set-up with the pointer that another one of the same place of the camera has marked, or with none. */
  withPointerOf(setup: WheelSetup, other: WheelSetup | null): WheelSetup;
  /** Looks for the marked pointer; ask only while the camera stands still. Null where none was marked. */
  checkPointer(setup: WheelSetup, picture: GreyPicture): PointerCheck | null;
  /** Bytes to keep in the database. */
  serialiseSetup(setup: WheelSetup): Uint8Array;
  /** Null where the bytes are not a set-up of this version. */
  restoreSetup(bytes: Uint8Array): WheelSetup | null;
}
