import type { PairMatch } from './pair-match.ts';
import { ProvisionalReader } from './read-provisional.ts';
import { signatureOf } from './setup.ts';
import type { SetupState } from './state.ts';
import type { Strip } from './strip.ts';
import { wrap180 } from './turn-spectrum.ts';
import type {
  AcceptedReading,
  GreyPicture,
  TrackState,
  Turn,
  TurnProgress,
  TurnRecord,
  WheelReading,
} from './types.ts';
import { limits, medianContrast } from './verdict.ts';

/** A live turn keeps the best frame of every ten degrees. */
const binDeg = 10;
const bins = 36;
/** A frame takes the place of another only if it is better by this much. */
const clearlyBetter = 0.02;

/** A frame that the turn has kept. */
export interface Kept {
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
    const merit = meritOf(reading);
    const held = turn.binned[bin] ?? null;
    if (reading.diagnostics.coveredFraction > 0.5 && (held === null || merit > held.merit + clearlyBetter))
      turn.binned[bin] = keep(merit, reading.trackedDeg);
  }
  if (reading.trackedDeg !== null) {
    if (elapsedS !== null && turn.lastDeg !== null && elapsedS > 0)
      turn.velocityDegPerS = wrap180(reading.trackedDeg - turn.lastDeg) / elapsedS;
    turn.lastDeg = reading.trackedDeg;
    note(turn, reading.trackedDeg);
  } else turn.lastDeg = null;
  return progressOf(turn, reading);
}

/** A live turn keeps the best frame of every ten degrees; a blurred one is the worse the more it is blurred. */
function meritOf({ accepted, diagnostics }: WheelReading): number {
  return diagnostics.medianNcc - 0.05 * diagnostics.blurDeg + (accepted ? 0.1 : 0);
}

function note(turn: TurnState, rotationDeg: number): void {
  // Frames of a crank at rest add nothing: a long wait must not make the list grow.
  const half = Math.floor(rotationDeg * 2) % 720;
  if (turn.seen[half] === 0) turn.rotations.push(rotationDeg);
  turn.seen[half] = 1;
}

/** The whole face is more like a frame than one other frame is, by about this much. */
const likerByModel = 0.1;

/**
 * Adds a frame that the fitted model has read: it need not be matched again here, which takes the time of several live
 * frames; the fit does that elsewhere.
 */
export function widenTurn(turn: TurnState, picture: GreyPicture, reading: AcceptedReading): TurnProgress {
  const { trackedDeg, diagnostics } = reading;
  const bin = Math.floor(trackedDeg / binDeg) % bins;
  const held = turn.binned[bin] ?? null;
  const merit = meritOf(reading) - likerByModel;
  if (diagnostics.coveredFraction > 0.5 && (held === null || merit > held.merit + clearlyBetter)) {
    const { ring, face } = turn.reader.bands(picture);
    const signature = signatureOf(picture);
    turn.binned[bin] = { picture: copyOf(picture), ring, face, roughDeg: trackedDeg, merit, signature, match: null };
  }
  note(turn, trackedDeg);
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

export interface RecordedTurn extends TurnRecord {
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

function copyOf(picture: GreyPicture): GreyPicture {
  return { ...picture, data: Uint8Array.from(picture.data.subarray(0, picture.stride * picture.heightPx)) };
}
