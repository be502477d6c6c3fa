import { type Calibration, type CalibrationFrame, calibrate } from './calibrate.ts';
import { codedRingOfTurn } from './coded/turned-ring.ts';
import { meanRadiusPx } from './ellipse.ts';
import { keyframesOf } from './keyframes.ts';
import type { PairMatch } from './pair-match.ts';
import { nominalFocalOfWidth } from './pose.ts';
import { CalibratedReader } from './read-calibrated.ts';
import { ProvisionalReader } from './read-provisional.ts';
import { type RigidModel, runOutDegOf, tiltDegOf } from './rigid-model.ts';
import { signatureOf } from './setup.ts';
import type { CalibrationState, Keyframe, SetupState } from './state.ts';
import { dropPolarity, emptyStrip, type Strip } from './strip.ts';
import { wrap180 } from './turn-spectrum.ts';
import type {
  GreyPicture,
  RefusalReason,
  TrackState,
  Turn,
  TurnOutcome,
  TurnProgress,
  TurnRecord,
  WheelReading,
} from './types.ts';
import { limits, medianContrast } from './verdict.ts';

/** A live turn keeps the best frame of every ten degrees. */
const binDeg = 10;
const bins = 36;
/** Less turn than this says too little about run-out. */
const leastArcDeg = 40;
/** The fit must leave no more than this, degrees. */
const mostResidualDeg = 0.04;

interface Kept {
  readonly picture: GreyPicture;
  readonly ring: Strip;
  readonly face: Strip;
  /** Rotation as tracked, or null for stills in any order. */
  readonly roughDeg: number | null;
  readonly merit: number;
  readonly signature: number;
  readonly match: PairMatch | null;
}

export interface TurnState extends Turn {
  readonly setup: SetupState;
  readonly reader: ProvisionalReader;
  reference: Kept | null;
  readonly binned: (Kept | null)[];
  readonly loose: Kept[];
  /** At most one rotation of every half degree, and which half degrees have theirs. */
  readonly rotations: number[];
  readonly seen: Uint8Array;
  track: TrackState | null;
  lastDeg: number | null;
  velocityDegPerS: number;
}

export function beginTurn(setup: SetupState): TurnState {
  const reader = new ProvisionalReader(setup);
  return {
    kind: 'portsight-turn',
    setup,
    reader,
    reference: referenceOf(setup, reader),
    binned: Array.from({ length: bins }, () => null),
    loose: [],
    rotations: [],
    seen: new Uint8Array(720),
    track: null,
    lastDeg: null,
    velocityDegPerS: 0,
  };
}

/** The reference frame as the set-up remembers it, so that a turn needs no second look at it. */
function referenceOf(setup: SetupState, reader: ProvisionalReader): Kept | null {
  if (setup.background === null) return null;
  const { widthPx, heightPx, grey } = setup.background;
  const picture: GreyPicture = { widthPx, heightPx, stride: widthPx, data: grey };
  const { ring, face } = reader.unroll(picture);
  return { picture, ring, face, roughDeg: 0, merit: 2, signature: setup.referenceSignature, match: null };
}

/** Offers a frame to the turn. */
export function offerFrame(turn: TurnState, picture: GreyPicture, elapsedS: number | null): TurnProgress {
  const signature = signatureOf(picture);
  const previous: TrackState | null =
    elapsedS !== null && turn.lastDeg !== null
      ? { rotationDeg: turn.lastDeg, velocityDegPerS: turn.velocityDegPerS, elapsedS }
      : null;
  const unrolled = turn.reader.unroll(picture);
  const { ring, face } = unrolled;
  const reading = turn.reader.readStrips(unrolled, { previous });
  const match = turn.reader.lastMatch;
  const keep = (merit: number, roughDeg: number | null): Kept => ({
    picture: copyOf(picture),
    ring,
    face,
    roughDeg,
    merit,
    signature,
    match,
  });
  if (signature === turn.setup.referenceSignature) turn.reference ??= keep(2, 0);
  else if (elapsedS === null) {
    if (medianContrast(ring) >= limits.leastContrast) turn.loose.push(keep(1, null));
  } else if (reading.trackedDeg !== null) {
    const bin = Math.floor(reading.trackedDeg / binDeg) % bins;
    const merit = reading.diagnostics.medianNcc - 0.05 * reading.diagnostics.blurDeg + (reading.accepted ? 0.1 : 0);
    const held = turn.binned[bin] ?? null;
    if (reading.diagnostics.coveredFraction > 0.5 && (held === null || merit > held.merit + 0.02))
      turn.binned[bin] = keep(merit, reading.trackedDeg);
  }
  if (reading.trackedDeg !== null) {
    if (elapsedS !== null && turn.lastDeg !== null && elapsedS > 0)
      turn.velocityDegPerS = wrap180(reading.trackedDeg - turn.lastDeg) / elapsedS;
    turn.lastDeg = reading.trackedDeg;
    // Frames of a crank at rest add nothing: a long wait must not make the list grow.
    const half = Math.floor(reading.trackedDeg * 2) % 720;
    if (turn.seen[half] === 0) turn.rotations.push(reading.trackedDeg);
    turn.seen[half] = 1;
  } else turn.lastDeg = null;
  return progressOf(turn, reading);
}

function progressOf(turn: TurnState, reading: WheelReading): TurnProgress {
  const sectorsCovered = Array.from({ length: bins }, (_, b) =>
    turn.rotations.some((r) => Math.floor(r / binDeg) % bins === b),
  );
  const arcCoveredDeg = arcOf([0, ...turn.rotations]);
  const framesUsed =
    (turn.reference === null ? 0 : 1) + turn.binned.filter((k) => k !== null).length + turn.loose.length;
  const expectedSigmaDeg = framesUsed < 3 ? null : expectedSigma(arcCoveredDeg, turn.setup.tiltDeg);
  return {
    arcCoveredDeg,
    sectorsCovered,
    framesUsed,
    expectedSigmaDeg,
    sentence: sentenceOf(arcCoveredDeg, expectedSigmaDeg),
    reading,
  };
}

/**
 * Largest errors of the rigid model by arc covered, measured on synthetic set-ups (60, 120, 180, 360 degrees; tilt 12 and
 * 28), halved to a standard deviation.
 */
function expectedSigma(arcDeg: number, tiltDeg: number): number {
  const table = [
    [0, 0.2],
    [60, 0.01],
    [120, 0.005],
    [180, 0.003],
    [360, 0.002],
  ] as const;
  let value = table[table.length - 1]?.[1] ?? 0.002;
  for (let i = 1; i < table.length; i++) {
    const [a, va] = table[i - 1] as readonly [number, number];
    const [b, vb] = table[i] as readonly [number, number];
    if (arcDeg <= b) {
      value = va + ((vb - va) * (arcDeg - a)) / (b - a);
      break;
    }
  }
  return Math.hypot(value * (0.7 + tiltDeg / 35), 0.004);
}

function sentenceOf(arcDeg: number, sigma: number | null): string {
  const arc = Math.round(arcDeg);
  if (sigma === null) return 'Turn the crank slowly, hands off the ring.';
  const reached = `${arc} of 360 degrees seen, readings good to about ${(2 * sigma).toFixed(2)} degrees`;
  if (arcDeg < 120) return `${reached}. Turn on: half a turn at least.`;
  if (arcDeg < 180) return `${reached}. A little more makes it better.`;
  return arcDeg < 330 ? `${reached}. Good; a full turn is better still.` : `${reached}. The turn is complete.`;
}

/** Arc between the outermost rotations: a whole turn less the largest gap. */
export function arcOf(rotationsDeg: readonly number[]): number {
  const sorted = rotationsDeg.map((r) => r - 360 * Math.floor(r / 360)).sort((a, b) => a - b);
  if (sorted.length < 2) return 0;
  let gap = (sorted[0] as number) + 360 - (sorted[sorted.length - 1] as number);
  for (let i = 1; i < sorted.length; i++) gap = Math.max(gap, (sorted[i] as number) - (sorted[i - 1] as number));
  // Frames a few degrees apart cover the gap between them.
  return gap <= 20 ? 360 : 360 - gap;
}

interface RecordedTurn extends TurnRecord {
  readonly setup: SetupState;
  readonly hasReference: boolean;
  /** The reference first, where there is one. */
  readonly kept: readonly Kept[];
}

export function recordOf(turn: TurnState): TurnRecord {
  const kept = [turn.reference, ...turn.binned, ...turn.loose].filter((k): k is Kept => k !== null);
  const record: RecordedTurn = {
    kind: 'portsight-turn-record',
    setup: turn.setup,
    hasReference: turn.reference !== null,
    kept,
  };
  return record;
}

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
  if (chosen === null) return refused(turn.setup.coherence < 0.3 ? 'ticks_not_resolvable' : 'turn_too_short');
  const { calibration, polarityFree } = chosen;
  const { bundle } = calibration;
  const nominal = nominalFocalOfWidth * turn.setup.widthPx;
  const ratio = bundle.model.focalPx / nominal;
  if (calibration.isTornApart || !(bundle.residualDeg < mostResidualDeg) || ratio < 0.45 || ratio > 2.2)
    return refused('model_does_not_fit');
  const arcCoveredDeg = arcOf([...bundle.rotationsDeg]);
  if (arcCoveredDeg < leastArcDeg) return refused('turn_too_short');

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
  const make = (used: readonly Keyframe[], modulusDeg: 360 | 180 | 90): SetupState => {
    const state: CalibrationState = {
      model: bundle.model,
      base: calibration.base,
      parameters: bundle.parameters,
      covariance: bundle.covariance,
      findings,
      keyframes: used,
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
  let setup = make(keyframes, 360);
  let readings = check(setup);
  const unsure = keyframes.filter((k) => readings.get(k)?.reason === 'position_not_unique').length;
  if (unsure > 0.6 * keyframes.length) {
    setup = make(keyframes, 180);
    const halves = check(setup);
    const agree = keyframes.filter((k) => halves.get(k)?.accepted).length;
    if (agree > 0.6 * keyframes.length) readings = halves;
    else return refused('position_not_unique');
  }
  const { modulusDeg } = setup;
  const trusted = keyframes.filter((k) => {
    const r = readings.get(k);
    if (r === undefined || !r.accepted) return false;
    const miss = r.rotationDeg - k.rotationDeg;
    return Math.abs(miss - r.modulusDeg * Math.round(miss / r.modulusDeg)) < 0.1;
  });
  if (trusted.length < 3) return refused('model_does_not_fit');
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

function copyOf(picture: GreyPicture): GreyPicture {
  return { ...picture, data: Uint8Array.from(picture.data.subarray(0, picture.stride * picture.heightPx)) };
}
