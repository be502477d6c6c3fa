import { type BundleResult, fitBundle, type Match } from './bundle.ts';
import { type FaceRepeat, faceRepeat, type PlacedFace, wholeTurn } from './face-repeat.ts';
import type { FrameView } from './frame-view.ts';
import type { Harmonic } from './harmonic.ts';
import { addMatches } from './matches.ts';
import { matchPair, type PairMatch } from './pair-match.ts';
import { proofRows, seenColumns, straightenView } from './pair-proof.ts';
import type { ModelBase } from './rigid-model.ts';
import { discToPicture, type RingMap, ringColumns } from './ring-map.ts';
import { emptyShifts } from './sectors.ts';
import { wrap180 } from './turn-spectrum.ts';
import { noProof } from './uniqueness.ts';

/** Two frames of a turn and how they match. */
export interface Edge {
  readonly from: number;
  readonly to: number;
  match: PairMatch;
}

/**
 * Scales that repeat after a quarter or half turn: one pair alone may be fooled by what stands still in the picture.
 * All frames, brought into the reference's place, vote together for the quarter in which each of them lies; only the marks
 * that turn with the face are asked.
 * @param quarters quarter turns after which the scale looks the same
 * @param numeralsDeg spacing of the numerals
 * @returns whether the face as a whole repeats
 */
export function settleQuarters(
  edges: Edge[],
  rotation: Map<number, number>,
  linked: readonly number[],
  views: readonly FrameView[],
  quarters: readonly number[],
  tickDeg: number,
  numeralsDeg: number,
): FaceRepeat {
  // Where the numerals themselves tell the quarters apart there is nothing to vote on.
  if (quarters.length === 0) return wholeTurn;
  const own = new Map(edges.filter((e) => e.from === 0).map((e) => [e.to, e.match]));
  const voters = linked.filter((f) => f === 0 || own.has(f));
  const faces = voters.map((f): PlacedFace => {
    const values = new Float32Array(proofRows * ringColumns);
    const m = own.get(f);
    straightenView(views[f] as FrameView, m === undefined ? atRest : m.harmonic, values);
    const seen =
      m === undefined ? (views[f] as FrameView).ring.valid : seenColumns((views[0] as FrameView).ring, m.shifts);
    return { values, seen, rotationDeg: rotation.get(f) as number };
  });
  const repeat = faceRepeat(faces, quarters, numeralsDeg);
  const places = repeat.odd?.places;
  if (places === undefined || !places.includes(1)) return repeat;
  const placed = faces.map(({ values }) => values);
  const count = voters.length;
  // evidence[i][j][q]: by how many deviations frame j looks like frame i turned by q quarters, against not turned.
  const evidence = new Float64Array(count * count * 4);
  for (let i = 0; i < count; i++)
    for (let j = i + 1; j < count; j++) {
      const z = quarterEvidence(placed[i] as Float32Array, placed[j] as Float32Array, places);
      for (let q = 1; q < 4; q++) {
        const allowed = quarters.includes(q) ? (z[q] as number) : -1e3;
        evidence[(i * count + j) * 4 + q] = allowed;
        evidence[(j * count + i) * 4 + ((4 - q) % 4)] = allowed;
      }
    }
  const state = new Int32Array(count);
  const total = (): number => {
    let sum = 0;
    for (let i = 0; i < count; i++)
      for (let j = i + 1; j < count; j++)
        sum += evidence[
          (i * count + j) * 4 + (((((state[j] as number) - (state[i] as number)) % 4) + 4) % 4)
        ] as number;
    return sum;
  };
  let best = total();
  for (let pass = 0, changed = true; pass < 8 && changed; pass++) {
    changed = false;
    const attempt = (moves: readonly (readonly [number, number])[]): void => {
      const old = Int32Array.from(state);
      for (const [f, q] of moves) state[f] = ((state[f] as number) + q) % 4;
      const value = total();
      if (value > best + 1e-6) {
        best = value;
        changed = true;
      } else state.set(old);
    };
    for (let f = 1; f < count; f++) for (let q = 1; q < 4; q++) attempt([[f, q]]);
    for (let f = 1; f < count; f++)
      for (let g = f + 1; g < count; g++)
        for (let q = 1; q < 4; q++)
          for (let r = 1; r < 4; r++)
            attempt([
              [f, q],
              [g, r],
            ]);
  }
  for (let i = 1; i < count; i++) {
    if (state[i] === 0) continue;
    const f = voters[i] as number;
    const turned = ((rotation.get(f) as number) + 90 * (state[i] as number)) % 360;
    const m = matchPair(views[0] as FrameView, views[f] as FrameView, tickDeg, [turned], true);
    if (m === null) continue;
    rotation.set(f, turned);
    (edges.find((e) => e.from === 0 && e.to === f) as Edge).match = m;
  }
  return repeat;
}

export const atRest: Harmonic = { a0Deg: 0, a1Deg: 0, b1Deg: 0, radial0: 0, radial1: 0, radialB1: 0 };

/** Likelihood of `b` being `a` turned by 0..3 quarters, as deviations above not being turned, by the odd marks alone. */
function quarterEvidence(a: Float32Array, b: Float32Array, oddMarks: Uint8Array): Float64Array {
  const n = ringColumns;
  const out = new Float64Array(4);
  const x = new Float64Array(4);
  let aa = 0;
  let bb = 0;
  let count = 0;
  for (let r = 0; r < proofRows; r++) {
    const o = r * n;
    for (let c = 0; c < n; c++) {
      if (!oddMarks[o + c]) continue;
      const v = b[o + c] as number;
      count++;
      aa += (a[o + c] as number) ** 2;
      bb += v * v;
      for (let q = 0; q < 4; q++) x[q] = (x[q] as number) + v * (a[o + ((c - (q * n) / 4 + n) % n)] as number);
    }
  }
  const noise = Math.max(1e-6, (bb - (x[0] as number) ** 2 / aa) / count);
  for (let q = 1; q < 4; q++) out[q] = ((x[q] as number) - (x[0] as number)) / Math.sqrt(4 * noise * 2 * aa);
  return out;
}

/** How the reference frame matches itself. */
export const restingPlace: PairMatch = {
  rotationDeg: 0,
  shifts: emptyShifts(),
  medianNcc: 1,
  validCount: 36,
  blurDeg: 0,
  harmonic: atRest,
  unique: noProof,
};

/** Another choice of quarters must lower the cost of the fit to this share to count: a concentric wheel can't tell. */
const clearlyBetter = 0.8;
/** With more frames than this the choices are too many to try; a live turn names its frames by continuity anyway. */
const mostFramesTried = 9;
const choicesFittedWhole = 4;

/**
 * First fit of the rigid model. On a scale that repeats, eccentricity and run-out tell the quarters apart as well: at the
 * wrong ones they don't fit. Every choice is fitted coarsely, the best ones whole.
 * @param rotation changed where frames are turned over
 */
export function fitWithQuarters(
  base: ModelBase,
  map: RingMap,
  edges: readonly Edge[],
  linked: readonly number[],
  rotation: Map<number, number>,
  quarters: readonly number[],
): BundleResult {
  const index = new Map(linked.map((f, i) => [f, i]));
  const point = (phi: number, rho: number): [number, number] =>
    discToPicture(map.toPicture, rho * Math.cos(phi), rho * Math.sin(phi));
  const matchesOf = (edge: Edge, turned: number): Match[] => {
    const matches: Match[] = [];
    const expected = (rotation.get(edge.to) as number) - (rotation.get(edge.from) as number);
    if (Math.abs(wrap180(edge.match.rotationDeg - expected)) <= 0.9)
      addMatches(
        matches,
        index.get(edge.from) as number,
        index.get(edge.to) as number,
        edge.match.shifts,
        point,
        point,
        turned,
      );
    return matches;
  };
  const rotationsOf = (state: readonly number[]): Float64Array =>
    Float64Array.from(linked, (f, i) => (rotation.get(f) as number) + 90 * (state[i] as number));
  const fitted = (state: readonly number[], of: readonly Edge[]): BundleResult => {
    const matches = of.flatMap((e) => {
      const turned = (state[index.get(e.to) as number] as number) - (state[index.get(e.from) as number] as number);
      return matchesOf(e, ((turned % 4) + 4) % 4);
    });
    return fitBundle(base, matches, rotationsOf(state));
  };
  const asVoted = linked.map(() => 0);
  const voted = fitted(asVoted, edges);
  if (quarters.length !== 1 || linked.length > mostFramesTried) return voted;
  const [turn] = quarters as [number];
  // Only in the reference does the ring stand straight, so that the mark that looks the same is exactly a quarter turn on.
  const own = edges.filter((e) => e.from === 0);
  // Every third sector of the pairs with the reference is enough to rank the choices.
  const sparse = new Map(
    own.map((e) => [index.get(e.to) as number, [0, turn].map((q) => matchesOf(e, q).filter((_, s) => s % 3 === 0))]),
  );
  const choices: { state: number[]; cost: number }[] = [];
  for (let code = 1; code < 1 << (linked.length - 1); code++) {
    const state = linked.map((_, i) => (i > 0 && (code >> (i - 1)) & 1 ? turn : 0));
    const matches = [...sparse].flatMap(([i, both]) => both[state[i] === 0 ? 0 : 1] as Match[]);
    choices.push({ state, cost: fitBundle(base, matches, rotationsOf(state)).cost });
  }
  choices.sort((a, b) => a.cost - b.cost);
  let best = fitted(asVoted, own);
  let chosen: readonly number[] = asVoted;
  for (const { state } of choices.slice(0, choicesFittedWhole)) {
    const other = fitted(state, own);
    if (other.cost < (chosen === asVoted ? clearlyBetter : 1) * best.cost) {
      best = other;
      chosen = state;
    }
  }
  if (chosen === asVoted) return voted;
  linked.forEach((f, i) => {
    rotation.set(f, ((rotation.get(f) as number) + 90 * (chosen[i] as number)) % 360);
  });
  return best;
}
