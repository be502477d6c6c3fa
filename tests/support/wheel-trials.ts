import type { ImageOps } from '../../core/wheel/image-ops.ts';
import { createWheelReader } from '../../core/wheel/reader.ts';
import type { GreyPicture, RimEllipse, WheelReader } from '../../core/wheel/types.ts';
import { Random } from './random.ts';
import { drawFace } from './synthetic-face.ts';
import { photograph, rimOf, type SetupWishes, type Shot, syntheticSetup } from './synthetic-wheel.ts';

/** What is done to a frame. */
export const conditions = [
  'clean',
  'partly_covered',
  'mostly_covered',
  'blurred_comb',
  'smeared',
  'dark',
  'dim',
  'noisy',
  'soft',
  'bumped',
  'standing_still',
] as const;
export type Condition = (typeof conditions)[number];

/** Conditions under which a reader should normally answer. */
export const readable: ReadonlySet<Condition> = new Set([
  'clean',
  'partly_covered',
  'blurred_comb',
  'dim',
  'noisy',
  'soft',
]);

export interface Trial {
  readonly setup: number;
  readonly condition: Condition;
  readonly accepted: boolean;
  readonly reason: string | null;
  readonly errorDeg: number;
  readonly sigmaDeg: number;
  readonly tiltDeg: number;
  /** Angle after which the face repeats. */
  readonly repeatsDeg: number;
}

/** A random frame under a condition. */
function shotFor(condition: Condition, rotationDeg: number, random: Random): Shot {
  const base = { rotationDeg, seed: Math.floor(random.between(1, 1e9)), noise: random.between(0.8, 2.5) };
  switch (condition) {
    case 'clean':
    case 'standing_still':
      return base;
    case 'partly_covered':
      return { ...base, covered: random.between(0.03, 0.25), coveredAtDeg: random.between(0, 360) };
    case 'mostly_covered':
      return { ...base, covered: random.between(0.45, 0.9), coveredAtDeg: random.between(0, 360) };
    case 'blurred_comb':
      return { ...base, blurDeg: random.between(0.8, 3) };
    case 'smeared':
      return { ...base, blurDeg: random.between(8, 45) };
    case 'dark':
      return { ...base, exposure: random.between(0.005, 0.02) };
    case 'dim':
      return { ...base, exposure: random.between(0.3, 0.6) };
    case 'noisy':
      return { ...base, noise: random.between(4, 8) };
    case 'soft':
      return { ...base, defocusPx: random.between(0.9, 1.6) };
    case 'bumped':
      return { ...base, bumpX: random.between(-15, 15), bumpY: random.between(-15, 15) };
  }
}

/** Outline as an operator drags it: a few pixels off. */
export function dragged(rim: RimEllipse, random: Random): RimEllipse {
  return {
    centrePx: [rim.centrePx[0] + random.between(-3, 3), rim.centrePx[1] + random.between(-3, 3)],
    fullAxesPx: [rim.fullAxesPx[0] + random.between(-4, 4), rim.fullAxesPx[1] + random.between(-4, 4)],
    angleDeg: rim.angleDeg + random.between(-2, 2),
  };
}

export interface SetupTrial {
  readonly trials: readonly Trial[];
  /** How the wheel came to be known: marked by hand, found, or neither. */
  readonly rim: 'marked' | 'found' | 'not_found';
  readonly refusal: string | null;
}

const turnFrames = 9;

/**
 * One random set-up from the first picture to `frames` readings. With `imitation`, what is taken for the wheel is a picture
 * of one: it stands still however the crank turns.
 */
export function trySetup(
  reader: WheelReader,
  seed: number,
  frames: number,
  imitation: boolean,
  wishes: SetupWishes = {},
): SetupTrial {
  const random = new Random(seed * 7919 + 13);
  const s = syntheticSetup(seed, wishes);
  const take = (condition: Condition, rotationDeg: number): GreyPicture =>
    photograph(s, shotFor(condition, imitation ? 0 : rotationDeg, random));
  const reference = take('clean', 0);
  const byHand = random.chance(0.5);
  const truth = rimOf(s, 0);
  const lost = (rim: SetupTrial['rim'], refusal: string): SetupTrial => ({
    rim,
    refusal,
    trials: Array.from({ length: frames }, () => ({
      setup: seed,
      condition: (imitation ? 'standing_still' : 'clean') as Condition,
      accepted: false,
      reason: refusal,
      errorDeg: 0,
      sigmaDeg: 0,
      tiltDeg: s.tiltDeg,
      repeatsDeg: s.face.repeatsDeg,
    })),
  });
  const found = byHand ? { ok: true as const, rim: dragged(truth, random) } : reader.findWheel(reference);
  if (!found.ok) return lost('not_found', found.reason);
  const rim = byHand ? 'marked' : 'found';
  const made = reader.createSetup(reference, found.rim);
  if (!made.ok) return lost(rim, made.reason);
  const turn = reader.startTurn(made.setup);
  reader.addTurnFrame(turn, reference, null);
  for (let i = 0; i < turnFrames; i++) {
    const condition = random.pick(['clean', 'clean', 'clean', 'partly_covered', 'noisy', 'blurred_comb'] as const);
    reader.addTurnFrame(turn, take(condition, ((i + random.next()) * 360) / turnFrames), null);
  }
  const outcome = reader.finishTurn(turn);
  if (!outcome.ok) return lost(rim, outcome.reason);
  const trials: Trial[] = [];
  for (let i = 0; i < frames; i++) {
    const condition = imitation ? 'standing_still' : random.pick(conditions.filter((c) => c !== 'standing_still'));
    const rotationDeg = random.between(0, 360);
    const reading = reader.readFrame(outcome.setup, take(condition, rotationDeg));
    const miss = reading.accepted ? reading.rotationDeg - rotationDeg : 0;
    const repeats = s.face.repeatsDeg;
    const modulus = Math.min(reading.modulusDeg, repeats);
    trials.push({
      setup: seed,
      condition,
      accepted: reading.accepted,
      reason: reading.reason,
      errorDeg:
        reading.accepted && reading.modulusDeg < repeats
          ? reading.modulusDeg
          : Math.abs(miss - modulus * Math.round(miss / modulus)),
      sigmaDeg: reading.sigmaDeg ?? 0,
      tiltDeg: s.tiltDeg,
      repeatsDeg: repeats,
    });
  }
  return { trials, rim, refusal: null };
}

export interface TrialSummary {
  readonly frames: number;
  readonly accepted: number;
  readonly worstDeg: number;
  readonly over: readonly Trial[];
  readonly text: string;
}

/** No accepted error may exceed this, degrees. */
export const mostErrorDeg = 0.2;

/** Frames read of one set-up. */
const framesOfSetup = 30;

/** Every twelfth set-up is an imitation that stands still, every eighth of the others has a face that repeats. */
function kindOf(seed: number): { isImitation: boolean; wishes: SetupWishes } {
  const isImitation = seed % 12 === 0;
  if (isImitation || seed % 8 !== 5) return { isImitation, wishes: {} };
  const numbering = seed % 16 === 5 ? '0_to_90' : '90';
  return { isImitation, wishes: { face: drawFace(new Random(seed * 31 + 7), { mayRepeat: true, numbering }) } };
}

/** Runs set-ups until `frames` frames are read. */
export function runTrials(
  ops: ImageOps,
  frames: number,
  firstSeed: number,
  progress: (done: number) => void,
): TrialSummary {
  const reader = createWheelReader(ops);
  const all: Trial[] = [];
  const setups: SetupTrial[] = [];
  for (let seed = firstSeed; all.length < frames; seed++) {
    const { isImitation, wishes } = kindOf(seed);
    const count = Math.min(isImitation ? 6 : framesOfSetup, frames - all.length);
    const result = trySetup(reader, seed, count, isImitation, wishes);
    setups.push(result);
    all.push(...result.trials);
    progress(all.length);
  }
  const accepted = all.filter((t) => t.accepted);
  const over = accepted.filter((t) => t.errorDeg > mostErrorDeg);
  const lines = conditions.map((c) => {
    const own = all.filter((t) => t.condition === c);
    const read = own.filter((t) => t.accepted);
    const errors = read.map((t) => t.errorDeg).sort((a, b) => a - b);
    const at = (p: number): string =>
      errors.length > 0
        ? (errors[Math.min(errors.length - 1, Math.floor(p * errors.length))] as number).toFixed(4)
        : '-';
    return `${c.padEnd(16)} ${String(read.length).padStart(5)} of ${String(own.length).padStart(5)} read, median ${at(0.5)}, p95 ${at(0.95)}, max ${at(1)}`;
  });
  const within = (k: number): string =>
    ((100 * accepted.filter((t) => t.errorDeg <= k * t.sigmaDeg).length) / Math.max(1, accepted.length)).toFixed(1);
  const refused = new Map<string, number>();
  for (const s of setups) if (s.refusal !== null) refused.set(s.refusal, (refused.get(s.refusal) ?? 0) + 1);
  lines.push(
    `${setups.length} set-ups, of these found ${setups.filter((s) => s.rim === 'found').length}, not found ${setups.filter((s) => s.rim === 'not_found').length}, marked ${setups.filter((s) => s.rim === 'marked').length}; refused as a whole: ${[...refused].map(([r, n]) => `${r} ${n}`).join(', ') || 'none'}`,
    ...[180, 90].map((deg) => {
      const own = all.filter((t) => t.repeatsDeg === deg);
      return `faces that repeat after ${deg} deg: ${own.filter((t) => t.accepted).length} of ${own.length} read`;
    }),
    `${accepted.length} of ${all.length} frames accepted, ${over.length} off by more than ${mostErrorDeg} deg; within 1 sigma ${within(1)} %, within 2 sigma ${within(2)} %`,
    ...accepted
      .filter((t) => t.errorDeg > 2.5 * t.sigmaDeg)
      .map(
        (t) =>
          `  bold: set-up ${t.setup}, ${t.condition}, error ${t.errorDeg.toFixed(4)}, sigma ${t.sigmaDeg.toFixed(4)}, tilt ${t.tiltDeg.toFixed(0)}`,
      ),
    ...over.map(
      (t) =>
        `  over: set-up ${t.setup}, ${t.condition}, error ${t.errorDeg.toFixed(3)}, sigma ${t.sigmaDeg.toFixed(4)}, tilt ${t.tiltDeg.toFixed(0)}`,
    ),
  );
  return {
    frames: all.length,
    accepted: accepted.length,
    worstDeg: Math.max(0, ...accepted.map((t) => t.errorDeg)),
    over,
    text: lines.join('\n'),
  };
}
