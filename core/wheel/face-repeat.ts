import { proofRows } from './pair-proof.ts';
import { ringColumns } from './ring-map.ts';
import type { OddMarks } from './state.ts';
import { ringRowCount } from './strip.ts';

const n = ringColumns;
const size = proofRows * n;

/** One frame's ring and inner face, brought into the reference's place; up to whole repeats of the scale. */
export interface PlacedFace {
  /** `proofRows` rows. */
  readonly values: Float32Array;
  /** Per column, 1 where the frame shows the face. */
  readonly seen: Uint8Array;
  /** By how much it was turned back, degrees. */
  readonly rotationDeg: number;
}

/** Whether a whole face repeats, as far as the frames of a turn show. */
export interface FaceRepeat {
  /** Angle after which it repeats; 360 where marks tell the repeats of the scale apart; null where that can't be said. */
  readonly afterDeg: 360 | 180 | 90 | null;
  /** Where the face differs from its own repeats; null on a scale that doesn't repeat. */
  readonly odd: OddMarks | null;
}

export const wholeTurn: FaceRepeat = { afterDeg: 360, odd: null };

/** Half width of the patch in which a mark is looked for, columns and rows. */
/**
 * Patch in which a mark is looked for, half widths in columns and rows. A place where the repeats differ `oddFrom` times as
 * much as they usually do is an odd mark; a face without any that comes near to it repeats.
 */
interface Patch {
  readonly columns: number;
  readonly rows: number;
  readonly oddFrom: number;
  readonly alikeUpTo: number;
}
// Synthetic faces that repeat reach 2.2 and 3.7, marks of a hundredth of the radius 2.6 and 5.3, lettering far more.
const patches: readonly Patch[] = [
  { columns: 8, rows: 1, oddFrom: 3.6, alikeUpTo: 2.8 },
  { columns: 4, rows: 0, oddFrom: 5, alikeUpTo: 4.2 },
];
/**
 * A row whose frames agree so well on how its repeats differ is odd all along, as where holes stand at another spacing than
 * the repeats: such rows reach 0.68. Ticks seen at a slant differ alike in many frames, bare ground doesn't.
 */
const oddRowFrom = { ring: 0.9, face: 0.62 } as const;
/** Share of the face that must have been seen in all of its repeats before it is said to repeat. */
const leastSeen = 0.85;
/** The turn must show it in this many frames, and in this share of them. */
const leastFrames = 3;
const leastShare = 0.5;
/** A mark shows in every frame, what stands still in the picture or passes over it in few: a low middle of all frames. */
const fromBelow = 0.4;
/** Differences below this are those of noise, local spreads. */
const leastUsual = 0.05;

/**
 * Judges a scale that repeats after a quarter or half turn by what turns with it. A frame can't say in which repeat it
 * stands, so each is asked how far the face differs from its own repeats: a mark of the face differs at the same place of
 * the scale in every frame, whichever repeat that is taken for; light, pointer and hands at another place in each.
 * @param quarters quarter turns (1, 2, 3) after which the scale looks the same
 * @param numeralsDeg spacing of the numerals
 */
export function faceRepeat(
  frames: readonly PlacedFace[],
  quarters: readonly number[],
  numeralsDeg: number,
): FaceRepeat {
  if (quarters.length === 0) return wholeTurn;
  // In which of its places each frame was put is unknown: all of them are folded on to one.
  const fold = quarters.length < 3 ? 2 : 4;
  const halves = oddPlaces(frames, 2, fold, numeralsDeg);
  if (fold === 2) return { afterDeg: judged(halves, 180), odd: { quarters, places: halves.places } };
  const fourths = oddPlaces(frames, 4, fold, numeralsDeg);
  const afterDeg = judged(fourths, 90);
  if (afterDeg !== 360) return { afterDeg, odd: { quarters, places: fourths.places } };
  const places = fourths.places.map((v, i) => v | (halves.places[i] as number));
  return { afterDeg: judged(halves, 180), odd: { quarters, places } };
}

interface OddPlaces {
  readonly isOdd: boolean;
  readonly isAlike: boolean;
  readonly places: Uint8Array;
}

function judged<T extends 180 | 90>({ isOdd, isAlike }: OddPlaces, repeatDeg: T): T | 360 | null {
  if (isOdd) return 360;
  return isAlike ? repeatDeg : null;
}

/** @param fold parts of the turn that may have been taken for each other */
function oddPlaces(frames: readonly PlacedFace[], parts: 2 | 4, fold: 2 | 4, numeralsDeg: number): OddPlaces {
  const period = n / fold;
  const deviations = frames.map((frame) => deviationOf(frame, parts));
  removeStill(frames, deviations);
  const places = new Uint8Array(size);
  let isAlike = true;
  for (const patch of patches) {
    const strengths = frames.map(({ seen }, i) => foldedStrength(seen, deviations[i] as Float32Array, fold, patch));
    const typical = overFrames(strengths);
    isAlike &&= typical.filter((v) => v >= 0).length >= leastSeen * typical.length;
    for (let r = 0; r < proofRows; r++) {
      const row = typical.subarray(r * period, (r + 1) * period);
      const ratios = againstUsual(row, Math.round((numeralsDeg / 360) * n));
      for (let x = 0; x < period; x++) {
        const ratio = ratios[x] as number;
        isAlike &&= ratio <= patch.alikeUpTo;
        if (ratio >= patch.oddFrom) for (let at = x; at < n; at += period) places[r * n + at] = 1;
      }
    }
  }
  for (let r = 0; r < proofRows; r++)
    if (agreementOfRow(deviations, r, fold) >= (r < ringRowCount ? oddRowFrom.ring : oddRowFrom.face))
      places.fill(1, r * n, (r + 1) * n);
  const isOdd = places.includes(1);
  return { isOdd, isAlike: isAlike && !isOdd, places };
}

/** How alike two frames find a row's deviations, in a middle of all pairs, each in the place that suits it best. */
function agreementOfRow(deviations: readonly Float32Array[], r: number, fold: number): number {
  const rows = deviations.map((deviation) => deviation.subarray(r * n, (r + 1) * n));
  const energies = rows.map((row) => row.reduce((sum, v) => sum + v * v, 0));
  const likenesses = rows.flatMap((a, i) =>
    rows.slice(i + 1).map((b, j) => {
      let most = 0;
      for (let at = 0; at < n; at += n / fold) {
        let sum = 0;
        for (let x = 0, y = at; x < n; x++, y = y + 1 === n ? 0 : y + 1) sum += (a[x] as number) * (b[y] as number);
        most = Math.max(most, sum);
      }
      return most / Math.sqrt((energies[i] as number) * (energies[i + 1 + j] as number) + 1e-9);
    }),
  );
  return likenesses.sort((a, b) => a - b)[likenesses.length >> 1] ?? 0;
}

/** What each place shows in a low middle of the frames that see it; -1 where too few do. */
function overFrames(strengths: readonly Float32Array[]): Float32Array {
  const least = Math.max(leastFrames, leastShare * strengths.length);
  const seen: number[] = [];
  return Float32Array.from(strengths[0] as Float32Array, (_, i) => {
    seen.length = 0;
    for (const s of strengths) if ((s[i] as number) >= 0) seen.push(s[i] as number);
    if (seen.length < least) return -1;
    seen.sort((a, b) => a - b);
    return seen[Math.floor(fromBelow * seen.length)] as number;
  });
}

/** A row over what is usual in it, and at the same place between two numerals: thick figures differ more than bare ground. */
function againstUsual(row: Float32Array, spacing: number): Float64Array {
  const usual = Math.max(leastUsual, middleOf(row));
  const atPlace = Array.from({ length: spacing }, (_, place) => middleOf(row.filter((_v, x) => x % spacing === place)));
  return Float64Array.from(row, (v, x) => Math.max(0, v) / Math.max(usual, atPlace[x % spacing] as number));
}

/** Lower median of what is known; 0 of none. */
function middleOf(row: Float32Array): number {
  const known = row.filter((v) => v >= 0).sort();
  return known.length === 0 ? 0 : (known[(known.length - 1) >> 1] as number);
}

/** Each place less the mean of its repeats. */
function deviationOf({ values }: PlacedFace, parts: number): Float32Array {
  const out = new Float32Array(size);
  const period = n / parts;
  for (let r = 0; r < proofRows; r++)
    for (let x = 0; x < period; x++) {
      const from = r * n + x;
      let sum = 0;
      for (let p = 0; p < parts; p++) sum += values[from + p * period] as number;
      for (let p = 0; p < parts; p++) out[from + p * period] = (values[from + p * period] as number) - sum / parts;
    }
  return out;
}

/** Takes out what stands still in the picture: the mean over the frames as they were, shrunk as few know it poorly. */
function removeStill(frames: readonly PlacedFace[], deviations: readonly Float32Array[]): void {
  const still = new Float32Array(size);
  const share = 1 / (frames.length + 2);
  const each = (visit: (deviation: Float32Array, here: number, inPicture: number) => void): void => {
    frames.forEach(({ rotationDeg }, f) => {
      const shift = Math.round((rotationDeg / 360) * n) + n;
      for (let r = 0; r < proofRows; r++)
        for (let x = 0; x < n; x++) visit(deviations[f] as Float32Array, r * n + x, r * n + ((x + shift) % n));
    });
  };
  each((deviation, here, inPicture) => {
    still[inPicture] = (still[inPicture] as number) + (deviation[here] as number);
  });
  each((deviation, here, inPicture) => {
    deviation[here] = (deviation[here] as number) - share * (still[inPicture] as number);
  });
}

/** Deviation in a patch round each place, the strongest of its repeats; -1 where one of them isn't seen. */
function foldedStrength(seen: Uint8Array, deviation: Float32Array, fold: number, reach: Patch): Float32Array {
  const period = n / fold;
  const out = new Float32Array(proofRows * period);
  const squares = new Float64Array(n);
  const patch = new Float64Array(n);
  for (let r = 0; r < proofRows; r++) {
    squares.fill(0);
    let used = 0;
    for (let q = r - reach.rows; q <= r + reach.rows; q++) {
      // Ring and inner face are freed of shading apart.
      if (q < 0 || q >= proofRows || q < ringRowCount !== r < ringRowCount) continue;
      used++;
      for (let x = 0; x < n; x++) squares[x] = (squares[x] as number) + (deviation[q * n + x] as number) ** 2;
    }
    let sum = 0;
    for (let x = -reach.columns; x <= reach.columns; x++) sum += squares[(x + n) % n] as number;
    for (let x = 0; x < n; x++) {
      patch[x] = sum;
      sum += (squares[(x + reach.columns + 1) % n] as number) - (squares[(x - reach.columns + n) % n] as number);
    }
    for (let x = 0; x < period; x++) {
      let most = 0;
      let isSeen = true;
      for (let at = x; at < n; at += period) {
        isSeen &&= seen[at] === 1;
        most = Math.max(most, patch[at] as number);
      }
      out[r * period + x] = isSeen ? Math.sqrt(most / (used * (2 * reach.columns + 1))) : -1;
    }
  }
  return out;
}
