import { createStore, type StoreApi } from 'zustand/vanilla';
import type { Way, WheelSetup, WheelSetupContent } from '../../core/contract/readings.ts';
import type { CameraCheck, RefusalReason, RimEllipse, TurnFindings, WheelReading } from '../../core/wheel/types.ts';
import type { CameraState } from '../camera/camera-states.ts';
import type { CameraDevice } from '../camera/devices.ts';
import type { Locks, offeredModes } from '../camera/track-controls.ts';
import type { FromWorker, SetupInfo, StepTimes, TurnInfo } from '../wheel-worker/messages.ts';
import type { PointerNews } from '../wheel-worker/pointer-watch.ts';
import type { Approach, Motion, TrackPlace } from '../wheel-worker/track.ts';
import type { EarlierSetup } from './bench-kept-setup.ts';

/** The latest frame as read. */
export interface LiveReading {
  readonly capturedAtMs: number;
  readonly reading: WheelReading;
  readonly motion: Motion;
  readonly speedDegPerS: number;
  readonly approach: Approach;
  /** The latest known place; an earlier one than this frame where that was refused. */
  readonly lastPlace: TrackPlace | null;
}

/** Where the search for the wheel stands. */
export type Finding =
  | { readonly kind: 'idle' }
  /** `share` of the search of one picture that is done, 0..1. */
  | { readonly kind: 'looking'; readonly tries: number; readonly reason: RefusalReason | null; readonly share: number }
  /** The operator ended the search. */
  | { readonly kind: 'stopped' }
  | { readonly kind: 'found'; readonly confidence: number }
  /** `isInHand` while it is drawn or dragged and not set down: what comes of an earlier one leaves it where it is. */
  | { readonly kind: 'by_hand'; readonly isInHand: boolean; readonly isSnapped: boolean | null }
  | { readonly kind: 'refused'; readonly reason: RefusalReason }
  | { readonly kind: 'taken_up_again' };

export type WorkerPhase =
  | { readonly kind: 'starting' }
  | { readonly kind: 'ready' }
  | { readonly kind: 'restarting' }
  | { readonly kind: 'gave_up'; readonly detail: string };

/** The set-up in use: its row, as kept or on its way to the database. */
export interface SetupInUse {
  readonly id: string;
  readonly content: WheelSetupContent;
  readonly info: SetupInfo;
  /** Set-ups that were read from this very reference before the wheel was moved. */
  readonly sameReferenceIds?: readonly string[];
}

/** Whether angles of this set-up are counted from the reference of the one in use. */
export function sharesReference(setup: SetupInUse, setupId: string): boolean {
  return setup.id === setupId || setup.sameReferenceIds?.includes(setupId) === true;
}

/** A picture from a file and what was read of it. */
export interface StillRead {
  readonly name: string;
  /** The picture itself, to be shown beside what was read in it. */
  readonly picture: Blob;
  /** The file was read as one of a camera that mirrors. */
  readonly isMirrored: boolean;
  /** Null while it is being read. */
  readonly reading: WheelReading | null;
  /** Why it could not be read at all, or empty. */
  readonly failure: string;
}

/** All that the bench sees: camera, worker, wheel, set-up, live angle. */
export interface SightState {
  readonly camera: CameraState;
  readonly cameras: readonly CameraDevice[];
  readonly locks: Locks | null;
  /** Sizes and rates that the running camera offers; null for recordings. */
  readonly offered: ReturnType<typeof offeredModes> | null;
  readonly worker: WorkerPhase;
  readonly picture: { readonly widthPx: number; readonly heightPx: number } | null;
  readonly finding: Finding;
  /** Outline as found, kept or dragged; null until there is one. */
  readonly rim: RimEllipse | null;
  readonly setup: SetupInUse | null;
  readonly turn: TurnInfo | null;
  readonly findings: TurnFindings | null;
  readonly calibrationRefused: RefusalReason | null;
  readonly cameraCheck: CameraCheck | null;
  /** What was last seen of the marked pointer; null while it wasn't marked or looked at yet. */
  readonly pointer: PointerNews | null;
  /** The place that was marked shows nothing that could be known again. */
  readonly isPointerRefused: boolean;
  /** The set-ups that the present one took the place of, latest first, until it is said whether it carries one on. */
  readonly earlier: readonly EarlierSetup[];
  /** Where the crank was last held while it was read with the present set-up. */
  readonly lastHeldDeg: number | null;
  /** Stills that were dropped in, as read with the present set-up. */
  readonly stills: readonly StillRead[];
  readonly fileRefused: { readonly what: string; readonly remedy: string } | null;
  readonly live: LiveReading | null;
  /** Rotation as shown: moves only as far as the uncertainty allows while the wheel is held. */
  readonly shownRotationDeg: number | null;
  /** Where the wheel stood when the question about forwards began to watch. */
  readonly watchedFromDeg: number | null;
  /** Movement seen since then that is waiting for the operator's answer. */
  readonly movedWay: Way | null;
  readonly isMirrored: boolean;
  /** Quarter turns clockwise by which the picture is shown turned. */
  readonly quarterTurns: 0 | 1 | 2 | 3;
  readonly steps: StepTimes | null;
  readonly framesRead: number;
  readonly framesDropped: number;
}

export type SightStore = StoreApi<SightState>;

export const initialSight: SightState = {
  camera: { kind: 'off' },
  cameras: [],
  locks: null,
  offered: null,
  worker: { kind: 'starting' },
  picture: null,
  finding: { kind: 'idle' },
  rim: null,
  setup: null,
  turn: null,
  findings: null,
  calibrationRefused: null,
  cameraCheck: null,
  pointer: null,
  isPointerRefused: false,
  earlier: [],
  lastHeldDeg: null,
  stills: [],
  fileRefused: null,
  live: null,
  shownRotationDeg: null,
  watchedFromDeg: null,
  movedWay: null,
  isMirrored: false,
  quarterTurns: 0,
  steps: null,
  framesRead: 0,
  framesDropped: 0,
};

export function createSightStore(): SightStore {
  return createStore<SightState>(() => initialSight);
}

/** The wheel must have turned this far before anybody is asked which way that was. */
const askForwardsDeg = 5;

/** What a message of the worker changes in what is seen; rows of the database are made elsewhere. */
export function heard(state: SightState, message: FromWorker): SightState {
  const { finding } = state;
  const isInHand = finding.kind === 'by_hand' && finding.isInHand;
  switch (message.kind) {
    case 'ready':
      return { ...state, worker: { kind: 'ready' } };
    case 'frame_read':
      return frameRead(state, message);
    case 'frames_ended':
      return { ...state, live: null, shownRotationDeg: null };
    case 'not_found':
      // A wheel that was found and can't be set up is looked for again.
      return finding.kind === 'looking' || finding.kind === 'found'
        ? { ...state, finding: { kind: 'looking', tries: message.tries, reason: message.reason, share: 0 } }
        : state;
    case 'finding':
      return finding.kind === 'looking' ? { ...state, finding: { ...finding, share: message.share } } : state;
    case 'found':
      return finding.kind === 'looking'
        ? { ...state, rim: message.rim, finding: { kind: 'found', confidence: message.confidence } }
        : state;
    case 'snapped':
      return isInHand
        ? state
        : { ...state, rim: message.rim, finding: { kind: 'by_hand', isInHand, isSnapped: message.isSnapped } };
    case 'set_up_refused':
      // An earlier set-up goes on being read; the outline stays where it was dropped, to be dragged on.
      return isInHand ? state : { ...state, finding: { kind: 'refused', reason: message.reason } };
    case 'set_up_made':
      return {
        ...withoutSetup(state),
        rim: isInHand ? state.rim : message.info.rim,
        // The search was ended when it was just over.
        finding: finding.kind === 'stopped' ? { kind: 'idle' } : finding,
      };
    case 'restored':
      return {
        ...state,
        ...(isInHand ? {} : { rim: message.info.rim, finding: { kind: 'taken_up_again' } }),
        setup: state.setup === null ? null : { ...state.setup, info: message.info },
      };
    case 'not_restored':
      return withoutSetup(state);
    case 'turn':
      return { ...state, turn: message.info };
    case 'calibrated':
      return {
        ...state,
        findings: message.findings,
        calibrationRefused: null,
        setup: state.setup === null ? null : { ...state.setup, info: message.info },
      };
    case 'calibration_refused':
      return { ...state, calibrationRefused: message.reason };
    case 'camera_checked':
      return { ...state, cameraCheck: message.check };
    case 'pointer_marked':
      return {
        ...state,
        pointer: null,
        isPointerRefused: false,
        setup: state.setup === null ? null : { ...state.setup, info: message.info },
      };
    case 'pointer_not_marked':
      return { ...state, isPointerRefused: true };
    case 'pointer_seen':
      return { ...state, pointer: message.news };
    case 'aborted':
    case 'frame_taken':
    case 'stamped':
    case 'stamp_kept':
    case 'stamp_refined':
    case 're_read_done':
      return state;
  }
}

function frameRead(state: SightState, message: Extract<FromWorker, { kind: 'frame_read' }>): SightState {
  const { reading, motion, speedDegPerS, approach, lastPlace, capturedAtMs } = message;
  const picture =
    state.picture?.widthPx === message.widthPx && state.picture.heightPx === message.heightPx
      ? state.picture
      : { widthPx: message.widthPx, heightPx: message.heightPx };
  const common = {
    ...state,
    picture,
    steps: message.steps,
    framesRead: state.framesRead + 1,
    framesDropped: message.framesDropped,
  };
  if (reading === null) return { ...common, live: null, shownRotationDeg: null };
  const unwrappedDeg = lastPlace?.unwrappedDeg ?? null;
  const watchedFromDeg = state.watchedFromDeg ?? unwrappedDeg;
  const moved = unwrappedDeg === null || watchedFromDeg === null ? 0 : unwrappedDeg - watchedFromDeg;
  const isAsked = state.setup !== null && state.setup.content.forwards === null;
  return {
    ...common,
    live: { capturedAtMs, reading, motion, speedDegPerS, approach, lastPlace },
    shownRotationDeg: heldFigure(state.shownRotationDeg, reading, motion),
    lastHeldDeg: reading.accepted && motion === 'steady' ? reading.rotationDeg : state.lastHeldDeg,
    watchedFromDeg,
    movedWay:
      isAsked && state.movedWay === null && Math.abs(moved) >= askForwardsDeg
        ? moved > 0
          ? 'clockwise'
          : 'anticlockwise'
        : state.movedWay,
  };
}

/** A figure that the reader can't tell from the one shown leaves it standing, so the last digit doesn't flicker. */
export function heldFigure(shownDeg: number | null, reading: WheelReading, motion: Motion): number | null {
  if (!reading.accepted) return null;
  if (shownDeg === null || motion !== 'steady') return reading.rotationDeg;
  const awayDeg = Math.abs(((reading.rotationDeg - shownDeg + 540) % 360) - 180);
  return awayDeg > Math.max(reading.sigmaDeg, smallestStepDeg) ? reading.rotationDeg : shownDeg;
}

/** One unit of the last digit shown. */
const smallestStepDeg = 0.01;

export function withoutSetup(state: SightState): SightState {
  return {
    ...state,
    finding: { kind: 'idle' },
    rim: null,
    setup: null,
    turn: null,
    findings: null,
    calibrationRefused: null,
    cameraCheck: null,
    pointer: null,
    isPointerRefused: false,
    earlier: [],
    lastHeldDeg: null,
    stills: [],
    live: null,
    shownRotationDeg: null,
    watchedFromDeg: null,
    movedWay: null,
  };
}

/** The set-ups of a mock-up with the one in use as it stands at the bench: its row may still be on its way. */
export function setupsAtBench(kept: readonly WheelSetup[], inUse: SetupInUse | null): readonly WheelSetup[] {
  if (inUse === null) return kept;
  const row = kept.find((one) => one.id === inUse.id);
  return [
    ...kept.filter((one) => one !== row),
    {
      ...inUse.content,
      hasReaderState: inUse.content.by === 'camera',
      id: inUse.id,
      workplaceId: row?.workplaceId ?? inUse.id,
      createdAt: row?.createdAt ?? new Date(0).toISOString(),
    },
  ];
}

/** The set-up of a mock-up to take up again: the latest one by camera whose reader state was kept. */
export function latestCameraSetup(setups: readonly WheelSetup[]): WheelSetup | null {
  return (
    [...setups]
      .filter((setup) => setup.by === 'camera' && setup.hasReaderState)
      .sort((a, b) => (a.id < b.id ? -1 : 1))
      .at(-1) ?? null
  );
}

/** The operator's answer to "was that forwards?". */
export function answeredForwards(moved: Way, wasForwards: boolean): Way {
  if (wasForwards) return moved;
  return moved === 'clockwise' ? 'anticlockwise' : 'clockwise';
}
