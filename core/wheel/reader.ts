import { checkBackground, checkLiveBackground } from './background.ts';
import { AbsoluteReader } from './coded/absolute-reader.ts';
import { TickComb } from './comb.ts';
import { findWheelIn, findWheelSteps } from './find-wheel.ts';
import type { ImageOps } from './image-ops.ts';
import { checkPointer, markPointer, type PointerMark } from './pointer-watch.ts';
import { CalibratedReader } from './read-calibrated.ts';
import { ProvisionalReader } from './read-provisional.ts';
import { dragReachPx } from './refine-rim.ts';
import { restoreState, serialiseState } from './serialise.ts';
import { makeSetup } from './setup.ts';
import { snapToEdge } from './snap-rim.ts';
import { asState, type Background, type SetupState } from './state.ts';
import { Unroller } from './straightened-ring.ts';
import { fitTurn } from './turn.ts';
import { turnBetween } from './turn-between.ts';
import { beginTurn, offerFrame, recordOf, type TurnState, widenTurn } from './turn-frames.ts';
import type { RefusalReason, WheelReader, WheelReading, WheelSetup } from './types.ts';
import { emptyDiagnostics } from './verdict.ts';

/** Makes the reader of one thread. */
export function createWheelReader(ops: ImageOps): WheelReader {
  const comb = new TickComb();
  // What can be worked out again from a set-up lives as long as the set-up does.
  const calibrated = new WeakMap<WheelSetup, CalibratedReader>();
  const provisional = new WeakMap<WheelSetup, ProvisionalReader>();
  const unrollers = new WeakMap<WheelSetup, Unroller>();
  const absolute = new WeakMap<WheelSetup, AbsoluteReader>();
  const kept = <T>(map: WeakMap<WheelSetup, T>, setup: WheelSetup, make: () => T): T => {
    const known = map.get(setup);
    if (known !== undefined) return known;
    const made = make();
    map.set(setup, made);
    return made;
  };

  return {
    findWheel: (picture) => findWheelIn(ops, comb, picture),
    findWheelSteps: (picture) => findWheelSteps(ops, comb, picture),

    snapRim(picture, dragged) {
      const edge = snapToEdge(picture, dragged, dragReachPx);
      return edge !== null && edge.support > 0.5 ? { rim: edge.rim, snapped: true } : { rim: dragged, snapped: false };
    },

    createSetup(reference, rim) {
      const made = makeSetup(ops, comb, reference, rim, dragReachPx);
      return made.ok ? { ok: true, setup: made.state } : made;
    },

    readFrame(setup, picture, options = {}) {
      const state = asState(setup);
      if (picture.widthPx !== state.widthPx || picture.heightPx !== state.heightPx)
        return refusedReading('picture_size_changed', !state.calibrated);
      const { calibration } = state;
      if (calibration === null)
        return kept(provisional, setup, () => new ProvisionalReader(state)).read(picture, options);
      const reading = kept(calibrated, setup, () => new CalibratedReader(state, calibration)).read(picture, options);
      if (options.effort === 'track' || state.background === null) return reading;
      // A moved camera explains a refusal better than what the ring looks like, and forbids an answer.
      const check = checkBackground(ops, state.background, picture);
      const gone =
        !reading.accepted &&
        mayHideMovedCamera.has(reading.reason) &&
        check.state === 'cannot_check' &&
        surroundingsLost(state.background, check.corners);
      // Sharp surroundings show that the camera is in focus: what is smeared is the wheel.
      if (reading.reason === 'out_of_focus' && check.state === 'still')
        return { ...reading, reason: 'moving_too_fast' };
      if (check.state !== 'moved' && !gone) return reading;
      return {
        ...refusedReading('camera_moved', false),
        diagnostics: reading.diagnostics,
        modulusDeg: reading.modulusDeg,
      };
    },

    readCodedRing(setup, picture, pointerPx) {
      if (picture.widthPx !== setup.widthPx || picture.heightPx !== setup.heightPx) return { state: 'not_seen' };
      return kept(absolute, setup, () => new AbsoluteReader(asState(setup))).read(picture, pointerPx ?? null);
    },

    startTurn: (setup) => beginTurn(asState(setup)),
    addTurnFrame: (turn, picture, elapsedS) => offerFrame(turn as TurnState, picture, elapsedS),
    widenTurn: (turn, picture, reading) => widenTurn(turn as TurnState, picture, reading),
    finishTurn: (turn) => fitTurn(recordOf(turn as TurnState)),
    recordOfTurn: (turn) => recordOf(turn as TurnState),

    straightenedRing(setup, picture, rotationDeg, band, into) {
      return kept(unrollers, setup, () => new Unroller(asState(setup))).unroll(picture, rotationDeg, band, into);
    },

    turnBetween: (earlier, later) => turnBetween(asState(earlier), asState(later)),

    checkCamera(setup, picture) {
      const { background } = asState(setup);
      return background === null
        ? { state: 'cannot_check', shiftPx: null, corners: 0 }
        : checkLiveBackground(ops, background, picture);
    },

    markPointer(setup, picture, atPx) {
      const state = asState(setup);
      const pointer = markPointer(picture, state.rim, atPx);
      return pointer === null ? null : withPointer(state, pointer);
    },

    withPointerOf: (setup, other) => withPointer(asState(setup), other === null ? null : asState(other).pointer),

    checkPointer(setup, picture) {
      const { pointer, rim, widthPx, heightPx } = asState(setup);
      if (pointer === null) return null;
      return picture.widthPx === widthPx && picture.heightPx === heightPx
        ? checkPointer(pointer, picture, rim)
        : { state: 'not_seen', shiftDeg: null };
    },

    serialiseSetup: (setup) => serialiseState(asState(setup)),
    restoreSetup: (bytes) => restoreState(bytes),
  };
}

function refusedReading(reason: NonNullable<WheelReading['reason']>, provisional: boolean): WheelReading {
  return {
    accepted: false,
    provisional,
    rotationDeg: null,
    sigmaDeg: null,
    modulusDeg: 360,
    reason,
    trackedDeg: null,
    diagnostics: emptyDiagnostics,
  };
}

function withPointer(state: SetupState, pointer: PointerMark | null): SetupState {
  return { ...state, pointer, pointerPx: pointer?.atPx ?? null };
}

/** What a ring looks like through a camera that points elsewhere. */
const mayHideMovedCamera: ReadonlySet<RefusalReason> = new Set([
  'nothing_matches',
  'moving_too_fast',
  'hand_over_rim',
  'out_of_focus',
  'position_not_unique',
]);

/** Enough corners were remembered, and hardly any is where it was. */
function surroundingsLost(background: Background, corners: number): boolean {
  const remembered = background.pointsPx.length / 2;
  return remembered >= 20 && corners < 0.2 * remembered;
}
