import { type Calibration, type CalibrationFrame, calibrate } from './calibrate.ts';
import { codedRingOfTurn } from './coded/turned-ring.ts';
import { meanRadiusPx } from './ellipse.ts';
import type { FaceRepeat } from './face-repeat.ts';
import { keyframesOf } from './keyframes.ts';
import { nominalFocalOfWidth } from './pose.ts';
import { CalibratedReader } from './read-calibrated.ts';
import { type RigidModel, runOutDegOf, tiltDegOf } from './rigid-model.ts';
import type { CalibrationState, Keyframe, SetupState } from './state.ts';
import { dropPolarity, emptyStrip } from './strip.ts';
import { arcOf, type Kept, type RecordedTurn } from './turn-frames.ts';
import type { GreyPicture, RefusalReason, TurnOutcome, TurnRecord, WheelReading } from './types.ts';
import { limits } from './verdict.ts';

/** Where so many frames don't hang together, turning on is no remedy. */
const framesOfShortTurn = 6;
/** Less turn than this says too little about run-out. */
const leastArcDeg = 40;
/**
 * The fit must leave no more than this, degrees. Engraved marks glint from the flank that the light meets, which leaves
 * 0.05. So much is left as well where frames are taken for another repeat of the scale, or where marks whose sign isn't
 * looked at match at a wrong place: there the fit must be closer.
 */
const mostResidualDeg = 0.07;
const mostResidualUnsureDeg = 0.04;
/** From all round the turn such errors cancel out; few frames of a part of it must fit closely. */
const mostResidualOfFewDeg = 0.03;
const allRoundDeg = 240;
const framesAllRound = 6;
/** Of a right model's own keyframes nearly all read right against the others; of one torn between repeats fewer than half. */
const leastTrustedShare = 0.6;
/** Repeats of the scale that lie this far apart in the picture are told apart by where the ring lies, pixels. */
const clearOffsetPx = 1;

/** Fits the model to the frames of a record. Needs neither the reader nor OpenCV, so any thread can do it. */
export function fitTurn(record: TurnRecord): TurnOutcome {
  const turn = record as RecordedTurn;
  const { kept } = turn;
  const refused = (reason: RefusalReason): TurnOutcome => ({ ok: false, reason });
  if (!turn.hasReference || kept.length < 3) return refused('turn_too_short');
  const ordinary = attempt(turn.setup, kept, false);
  const strong =
    ordinary !== null && ordinary.calibration.frames.length >= 0.7 * kept.length && ordinary.typicalNcc > 0.55;
  const free = strong ? null : attempt(turn.setup, kept, true);
  const chosen = better(ordinary, free);
  if (chosen === null) {
    if (turn.setup.coherence < 0.3) return refused('ticks_not_resolvable');
    return refused(kept.length < framesOfShortTurn ? 'turn_too_short' : 'model_does_not_fit');
  }
  const { calibration, polarityFree } = chosen;
  const { bundle } = calibration;
  const nominal = nominalFocalOfWidth * turn.setup.widthPx;
  const ratio = bundle.model.focalPx / nominal;
  const isSure = calibration.repeat.odd === null && !polarityFree;
  const arcCoveredDeg = arcOf([...bundle.rotationsDeg]);
  const isFromAllRound = arcCoveredDeg >= allRoundDeg && calibration.frames.length >= framesAllRound;
  const most = isSure ? mostResidualDeg : mostResidualUnsureDeg;
  if (calibration.isTornApart || !(bundle.residualDeg < most) || ratio < 0.45 || ratio > 2.2)
    return refused('model_does_not_fit');
  const isCloseEnough = isFromAllRound || bundle.residualDeg < mostResidualOfFewDeg;
  if (arcCoveredDeg < leastArcDeg || !isCloseEnough) return refused('turn_too_short');

  let keyframes = keyframesOf(
    calibration,
    chosen.frames,
    kept.map((k) => k.signature),
    polarityFree,
  );
  const findings = {
    residualDeg: bundle.residualDeg,
    eccentricityOfRadius: eccentricityOf(bundle.model, turn.setup),
    runOutDeg: runOutDegOf(bundle.model),
    arcCoveredDeg,
    tiltDeg: tiltDegOf(bundle.model),
    focalLengthPx: bundle.model.focalPx,
    framesUsed: calibration.frames.length,
  };
  const { repeat } = calibration;
  const isOffCentre =
    offsetOfRepeatPx(repeat, findings.eccentricityOfRadius * meanRadiusPx(turn.setup.rim)) >= clearOffsetPx;
  const make = (used: readonly Keyframe[], modulusDeg: 360 | 180 | 90): SetupState => {
    const state: CalibrationState = {
      model: bundle.model,
      base: calibration.base,
      parameters: bundle.parameters,
      covariance: bundle.covariance,
      findings,
      keyframes: used,
      toldApartBy: isOffCentre ? null : repeat.odd,
    };
    return { ...turn.setup, polarityFree, calibrated: true, modulusDeg, tiltDeg: findings.tiltDeg, calibration: state };
  };
  if (keyframes.length < 3) return refused('model_does_not_fit');
  // Every keyframe is read against the others: what doesn't agree with them must not bear witness later.
  const pictures = new Map(kept.map((k) => [k.signature, k.picture]));
  const check = (setup: SetupState): Map<Keyframe, WheelReading> => {
    const reader = new CalibratedReader(setup, setup.calibration as CalibrationState);
    return new Map(
      keyframes.map((k) => [
        k,
        reader.read(pictures.get(k.signature) as GreyPicture, {
          previous: { rotationDeg: k.rotationDeg, velocityDegPerS: 0, elapsedS: 0 },
        }),
      ]),
    );
  };
  // A face off the axis tells its own repeats apart. On it, only the marks that turn with the face may.
  const whole = isOffCentre || repeat.afterDeg === null ? 360 : repeat.afterDeg;
  if (repeat.afterDeg === null && !isOffCentre) return refused('position_not_unique');
  let setup = make(keyframes, whole);
  let readings = check(setup);
  const unsureShare = (): number =>
    keyframes.filter((k) => readings.get(k)?.reason === 'position_not_unique').length / keyframes.length;
  const isTold = !isOffCentre && repeat.odd !== null && repeat.odd.places.includes(1);
  const areUnsure = (): boolean => unsureShare() > (isTold ? 1 - limits.leastOddShare : 0.6);
  if (areUnsure() && repeat.afterDeg !== null && repeat.afterDeg < whole) {
    setup = make(keyframes, repeat.afterDeg);
    readings = check(setup);
  }
  if (areUnsure()) return refused('position_not_unique');
  const { modulusDeg } = setup;
  const trusted = keyframes.filter((k) => {
    const r = readings.get(k);
    if (r === undefined || !r.accepted) return false;
    const miss = r.rotationDeg - k.rotationDeg;
    return Math.abs(miss - r.modulusDeg * Math.round(miss / r.modulusDeg)) < 0.1;
  });
  if (trusted.length < Math.max(3, leastTrustedShare * keyframes.length)) return refused('model_does_not_fit');
  keyframes = trusted;
  setup = make(keyframes, modulusDeg);
  const codedRing = codedRingOfTurn(setup, keyframes, (k) => pictures.get(k.signature));
  if (codedRing !== null) setup = { ...setup, codedRing };
  return { ok: true, setup, findings };
}

interface Attempt {
  readonly calibration: Calibration;
  readonly frames: readonly CalibrationFrame[];
  readonly polarityFree: boolean;
  readonly typicalNcc: number;
}

function attempt(setup: SetupState, kept: readonly Kept[], polarityFree: boolean): Attempt | null {
  const frames = kept.map((k): CalibrationFrame => {
    if (!polarityFree) return { picture: k.picture, ring: k.ring, face: k.face, roughDeg: k.roughDeg, match: k.match };
    const ring = { ...emptyStrip(1), ...k.ring, values: Float32Array.from(k.ring.values) };
    dropPolarity(ring);
    return { picture: k.picture, ring, face: k.face, roughDeg: k.roughDeg };
  });
  const calibration = calibrate(
    {
      map: setup.map,
      tickDeg: setup.tickStepDeg,
      repeatDeg: setup.repeatDeg,
      polarityFree,
      widthPx: setup.widthPx,
      heightPx: setup.heightPx,
    },
    frames,
  );
  return calibration === null ? null : { calibration, frames, polarityFree, typicalNcc: calibration.typicalNcc };
}

function better(a: Attempt | null, b: Attempt | null): Attempt | null {
  if (a === null || b === null) return a ?? b;
  const frames = b.calibration.frames.length - a.calibration.frames.length;
  if (frames !== 0) return frames > 0 ? b : a;
  return b.calibration.bundle.residualDeg < a.calibration.bundle.residualDeg ? b : a;
}

/** How far the face lies elsewhere in the picture after the smallest turn that its scale repeats after, pixels. */
function offsetOfRepeatPx({ odd }: FaceRepeat, eccentricityPx: number): number {
  if (odd === null) return 0;
  const turn = (Math.min(...odd.quarters) * Math.PI) / 2;
  return 2 * eccentricityPx * Math.sin(turn / 2);
}

/** Distance of the face's centre from the crank axis, in rim radii. */
function eccentricityOf(model: RigidModel, setup: SetupState): number {
  const px =
    model.crossing[0] * (1 + model.k1 * (model.crossing[0] ** 2 + model.crossing[1] ** 2)) * model.focalPx + model.px;
  const py =
    model.crossing[1] * (1 + model.k1 * (model.crossing[0] ** 2 + model.crossing[1] ** 2)) * model.focalPx + model.py;
  const h = setup.map.toDisc;
  const w = (h[6] as number) * px + (h[7] as number) * py + (h[8] as number);
  const u = ((h[0] as number) * px + (h[1] as number) * py + (h[2] as number)) / w;
  const v = ((h[3] as number) * px + (h[4] as number) * py + (h[5] as number)) / w;
  return (Math.hypot(u, v) * meanRadiusPx(setup.map.rim)) / meanRadiusPx(setup.rim);
}
