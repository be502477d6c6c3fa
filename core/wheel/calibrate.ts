import { type BundleResult, fitBundle, type Match, medianOf } from './bundle.ts';
import {
  blurredStrip,
  type FrameView,
  frameView,
  type Harmonic,
  matchPair,
  matchPlaced,
  type PairMatch,
  proofRows,
  straightenView,
} from './pair-match.ts';
import { circlePoses, nominalFocalOfWidth } from './pose.ts';
import type { ModelBase } from './rigid-model.ts';
import { discToPicture, type RingMap, ringColumns } from './ring-map.ts';
import {
  emptyShifts,
  gradientsOf,
  refineSectors,
  type SectorShifts,
  type StripGradients,
  sectorAngle,
  sectorCount,
} from './sectors.ts';
import { Straightener } from './straightener.ts';
import { dropPolarity, emptyStrip, faceRowCount, ringRowCount, type Strip } from './strip.ts';
import { wrap180 } from './turn-spectrum.ts';
import type { GreyPicture } from './types.ts';

/** Radius at which a sector's shift is measured, on average over the marks, in rim radii. */
export const effectiveRho = 0.92;

/** What the fit needs to know of the set-up. */
export interface CalibrationInput {
  readonly map: RingMap;
  readonly tickDeg: number;
  readonly repeatDeg: number;
  readonly polarityFree: boolean;
  readonly widthPx: number;
  readonly heightPx: number;
}

export interface CalibrationFrame {
  readonly picture: GreyPicture;
  readonly ring: Strip;
  readonly face: Strip;
  /** Known roughly from tracking, or null: then it is searched. */
  readonly roughDeg: number | null;
  /** Match against the reference where it is known already. */
  readonly match?: PairMatch | null;
}

export interface Calibration {
  readonly base: ModelBase;
  readonly bundle: BundleResult;
  /** Index of the frame behind each rotation of the bundle. */
  readonly frames: readonly number[];
  readonly straightener: Straightener;
  /** Blur of each frame against the others, degrees. */
  readonly blurDeg: readonly number[];
  /** Median likeness over all pairs. */
  readonly typicalNcc: number;
}

/** A pair must match at least this well to count (ordinary marks, and marks without polarity). */
export function pairThreshold(polarityFree: boolean): number {
  return polarityFree ? 0.3 : 0.5;
}

/** Pose before the fit: the focal length and plane that agree best with the centre found from the ticks. */
export function modelBase(input: Pick<CalibrationInput, 'map' | 'widthPx' | 'heightPx'>): ModelBase {
  const px = (input.widthPx - 1) / 2;
  const py = (input.heightPx - 1) / 2;
  const { map } = input;
  let best = Number.POSITIVE_INFINITY;
  let base: ModelBase | null = null;
  for (let k = -5; k <= 5; k++) {
    const log = 0.08 * k;
    const focalPx = nominalFocalOfWidth * input.widthPx * Math.exp(log);
    for (const pose of circlePoses(map.rim, focalPx, px, py)) {
      const miss = Math.hypot(pose.kx - map.kx, pose.ky - map.ky) / 0.005;
      const cost = miss * miss + (log / 0.15) ** 2;
      if (cost < best) {
        best = cost;
        base = { focalPx, px, py, normal: pose.normal, crossingPx: discToPicture(map.toPicture, 0, 0) };
      }
    }
  }
  return base as ModelBase;
}

/** Views of all frames with what stands still in the picture taken out of their inner face. */
function movingViews(frames: readonly CalibrationFrame[], repeatDeg: number): FrameView[] {
  const size = faceRowCount * ringColumns;
  const sum = new Float32Array(size);
  for (const f of frames) for (let i = 0; i < size; i++) sum[i] = (sum[i] as number) + (f.face.values[i] as number);
  const others = frames.length - 1;
  return frames.map((f) => {
    // Mean of the others, shrunk: with few frames it is mostly the face itself at other places.
    const share = others >= 2 ? 1 / (others + 2) : 0;
    const face: Strip = {
      ...f.face,
      values: Float32Array.from(f.face.values, (v, i) => v - share * ((sum[i] as number) - v)),
    };
    return frameView(f.ring, face, repeatDeg);
  });
}

interface Edge {
  readonly from: number;
  readonly to: number;
  match: PairMatch;
}

/**
 * Fits the rigid model to the frames of a turn; frame 0 is the reference.
 * @returns null where fewer than three frames hang together
 */
export function calibrate(input: CalibrationInput, frames: readonly CalibrationFrame[]): Calibration | null {
  const views = movingViews(frames, input.repeatDeg);
  const threshold = pairThreshold(input.polarityFree);
  const good = (m: PairMatch | null): m is PairMatch => m !== null && m.medianNcc > threshold && m.validCount >= 12;

  // Hang every frame on the reference, or on a frame that hangs on it already.
  const rotation = new Map<number, number>([[0, 0]]);
  const edges: Edge[] = [];
  const waiting: number[] = [];
  for (let j = 1; j < frames.length; j++) {
    const rough = (frames[j] as CalibrationFrame).roughDeg;
    const m = (frames[j] as CalibrationFrame).match ?? matchPair(
      views[0] as FrameView,
      views[j] as FrameView,
      input.tickDeg,
      rough === null ? undefined : [rough],
    );
    if (good(m) && m.unique.otherZ > 3) {
      rotation.set(j, m.rotationDeg);
      edges.push({ from: 0, to: j, match: m });
    } else waiting.push(j);
  }
  for (let pass = 0; pass < 2; pass++)
    for (const j of [...waiting]) {
      if (rotation.has(j)) continue;
      let best: { from: number; match: PairMatch } | null = null;
      for (const [i] of rotation) {
        if (i === 0) continue;
        const rough = (frames[j] as CalibrationFrame).roughDeg;
        const candidates = rough === null ? undefined : [(rough - (rotation.get(i) as number) + 720) % 360];
        const m = matchPair(views[i] as FrameView, views[j] as FrameView, input.tickDeg, candidates);
        if (good(m) && m.unique.otherZ > 4 && (best === null || m.medianNcc > best.match.medianNcc))
          best = { from: i, match: m };
        if (best !== null && best.match.medianNcc > 0.75) break;
      }
      if (best !== null) {
        rotation.set(j, ((rotation.get(best.from) as number) + best.match.rotationDeg) % 360);
        edges.push({ from: best.from, to: j, match: best.match });
      }
    }
  const linked = [...rotation.keys()].sort((a, b) => a - b);
  if (linked.length < 3) return null;

  settleQuarters(edges, rotation, linked, views, input.tickDeg);
  const placed = new Map(edges.filter((e) => e.from === 0).map((e) => [e.to, e.match]));
  const pairs = choosePairs(linked, rotation);
  for (const [i, j] of pairs) {
    if (edges.some((e) => e.from === i && e.to === j)) continue;
    const placeI = i === 0 ? restingPlace : placed.get(i);
    const placeJ = placed.get(j);
    const expected = ((rotation.get(j) as number) - (rotation.get(i) as number) + 720) % 360;
    let m =
      placeI === undefined || placeJ === undefined
        ? null
        : matchPlaced(views[i] as FrameView, placeI, views[j] as FrameView, placeJ);
    if (!good(m) && linked.length <= 12)
      m = matchPair(views[i] as FrameView, views[j] as FrameView, input.tickDeg, [expected], true);
    if (good(m)) edges.push({ from: i, to: j, match: m });
  }

  const index = new Map(linked.map((f, i) => [f, i]));
  const start = Float64Array.from(linked, (f) => rotation.get(f) as number);
  const base = modelBase(input);
  const matches: Match[] = [];
  for (const e of edges) {
    const expected = (rotation.get(e.to) as number) - (rotation.get(e.from) as number);
    if (Math.abs(wrap180(e.match.rotationDeg - expected)) > 0.9) continue;
    addMatches(matches, index.get(e.from) as number, index.get(e.to) as number, e.match.shifts, (phi, rho) =>
      discToPicture(input.map.toPicture, rho * Math.cos(phi), rho * Math.sin(phi)),
    );
  }
  const first = fitBundle(base, matches, start);
  return refineStraightened(input, frames, linked, edges, base, first);
}

/** All pairs of a few frames; of many, neighbours and far partners that close the loop. */
function choosePairs(linked: readonly number[], rotation: ReadonlyMap<number, number>): [number, number][] {
  const pairs: [number, number][] = [];
  if (linked.length <= 12) {
    for (let a = 0; a < linked.length; a++)
      for (let b = a + 1; b < linked.length; b++) pairs.push([linked[a] as number, linked[b] as number]);
    return pairs;
  }
  const byAngle = [...linked].sort((a, b) => (rotation.get(a) as number) - (rotation.get(b) as number));
  const n = byAngle.length;
  for (const stride of [1, 2, Math.floor(n / 4), Math.floor(n / 2)])
    for (let a = 0; a < n; a++) {
      const i = byAngle[a] as number;
      const j = byAngle[(a + stride) % n] as number;
      if (!pairs.some(([p, q]) => (p === i && q === j) || (p === j && q === i))) pairs.push(i < j ? [i, j] : [j, i]);
    }
  return pairs;
}

/**
 * Scales that repeat after a quarter or half turn: one pair alone may be fooled by what stands still in the picture.
 * All frames, brought into the reference's place, vote together for the quarter in which each of them lies.
 */
function settleQuarters(
  edges: Edge[],
  rotation: Map<number, number>,
  linked: readonly number[],
  views: readonly FrameView[],
  tickDeg: number,
): void {
  const own = new Map(edges.filter((e) => e.from === 0).map((e) => [e.to, e.match]));
  const voters = linked.filter((f) => f === 0 || own.has(f));
  const unclear = voters.some((f) => f !== 0 && Math.min(...(own.get(f) as PairMatch).unique.quarterZ) < clearQuarterZ);
  if (!unclear) return;
  const placed = voters.map((f) => {
    const out = new Float32Array(proofRows * ringColumns);
    const m = own.get(f);
    straightenView(views[f] as FrameView, m === undefined ? atRest : m.harmonic, out);
    return out;
  });
  const count = voters.length;
  // evidence[i][j][q]: by how many deviations frame j looks like frame i turned by q quarters, against not turned.
  const evidence = new Float64Array(count * count * 4);
  for (let i = 0; i < count; i++)
    for (let j = i + 1; j < count; j++) {
      const z = quarterEvidence(placed[i] as Float32Array, placed[j] as Float32Array);
      for (let q = 1; q < 4; q++) {
        evidence[(i * count + j) * 4 + q] = z[q] as number;
        evidence[(j * count + i) * 4 + ((4 - q) % 4)] = z[q] as number;
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
}

/** Above this a single pair's evidence against quarter turns needs no vote. */
const clearQuarterZ = 25;
const atRest: Harmonic = { a0Deg: 0, a1Deg: 0, b1Deg: 0, radial0: 0, radial1: 0, radialB1: 0 };
const restingPlace: PairMatch = {
  rotationDeg: 0,
  shifts: emptyShifts(),
  medianNcc: 1,
  validCount: 36,
  blurDeg: 0,
  harmonic: atRest,
  unique: { q: 0, z: 0, rivalDeg: 0, quarterZ: [0, 0, 0], otherZ: 0 },
};

/** Likelihood of `b` being `a` turned by 0..3 quarters, as deviations above not being turned. */
function quarterEvidence(a: Float32Array, b: Float32Array): Float64Array {
  const n = ringColumns;
  const out = new Float64Array(4);
  let aa = 0;
  let bb = 0;
  for (let i = 0; i < a.length; i++) {
    aa += (a[i] as number) ** 2;
    bb += (b[i] as number) ** 2;
  }
  const x = new Float64Array(4);
  for (let q = 0; q < 4; q++) {
    const shift = (q * n) / 4;
    let sum = 0;
    for (let r = 0; r < proofRows; r++) {
      const o = r * n;
      for (let c = 0; c < n; c++) sum += (b[o + c] as number) * (a[o + ((c - shift + n) % n)] as number);
    }
    x[q] = sum;
  }
  const noise = Math.max(1e-6, (bb - (x[0] as number) ** 2 / aa) / b.length);
  for (let q = 1; q < 4; q++) out[q] = ((x[q] as number) - (x[0] as number)) / Math.sqrt(4 * noise * 2 * aa);
  return out;
}

/** Pixel of a face or ring point. */
type PointToPixel = (phi: number, rho: number) => readonly [number, number];

function addMatches(
  into: Match[],
  fromFrame: number,
  toFrame: number,
  shifts: SectorShifts,
  from: PointToPixel,
  to: PointToPixel = from,
): void {
  for (let s = 0; s < sectorCount; s++) {
    if (!shifts.valid[s]) continue;
    const phi = sectorAngle[s] as number;
    const phiTo = phi + ((shifts.shiftDeg[s] as number) * Math.PI) / 180;
    const rhoTo = effectiveRho + (shifts.radial[s] as number);
    const [fromX, fromY] = from(phi, effectiveRho);
    const [toX, toY] = to(phiTo, rhoTo);
    const [nextX, nextY] = to(phiTo + 1e-4, rhoTo);
    const length = Math.hypot(nextX - toX, nextY - toY);
    // Poorer likeness, larger error.
    const spread = 1 + 4 * (1 - (shifts.ncc[s] as number));
    into.push({
      fromFrame,
      toFrame,
      fromX,
      fromY,
      toX,
      toY,
      alongX: (nextX - toX) / length,
      alongY: (nextY - toY) / length,
      radiusPx: length / 1e-4 / effectiveRho,
      sigmaDeg: 0.02 * spread,
      sigmaRadial: 0.003 * spread,
    });
  }
}

/** Second pass: shifts measured again between strips that the first model has straightened, then the final fit. */
function refineStraightened(
  input: CalibrationInput,
  frames: readonly CalibrationFrame[],
  linked: readonly number[],
  edges: readonly Edge[],
  base: ModelBase,
  first: BundleResult,
): Calibration {
  const straightener = new Straightener(first.model, input.map);
  const strips = linked.map((f, i) => {
    const strip = emptyStrip(ringRowCount);
    straightener.ring(
      (frames[f] as CalibrationFrame).picture,
      first.rotationsDeg[i] as number,
      first.shiftsPx[2 * i] as number,
      first.shiftsPx[2 * i + 1] as number,
      strip,
    );
    if (input.polarityFree) dropPolarity(strip);
    return strip;
  });
  const blurDeg = linked.map((f) => {
    const own = edges.filter((e) => e.to === f).map((e) => e.match.blurDeg);
    return own.length > 0 ? medianOf(own) : 0;
  });
  const gradients = strips.map(gradientsOf);
  const index = new Map(linked.map((f, i) => [f, i]));
  const matches: Match[] = [];
  const pixel = new Float64Array(2);
  const toPixel =
    (i: number): PointToPixel =>
    (phi, rho) => {
      straightener.pixelOf(input.map, phi, rho, first.rotationsDeg[i] as number, pixel);
      return [
        (pixel[0] as number) + (first.shiftsPx[2 * i] as number),
        (pixel[1] as number) + (first.shiftsPx[2 * i + 1] as number),
      ];
    };
  for (const e of edges) {
    const i = index.get(e.from) as number;
    const j = index.get(e.to) as number;
    const shifts = emptyShifts();
    // Equal blur on both sides: motion over one or two ticks turns the comb over, which a sharp partner would misread.
    const blurI = blurDeg[i] as number;
    const blurJ = blurDeg[j] as number;
    const left = blurredStrip(strips[i] as Strip, blurJ);
    const right = blurredStrip(strips[j] as Strip, blurI);
    refineSectors(
      left,
      blurJ > 0 ? gradientsOf(left) : (gradients[i] as StripGradients),
      right,
      () => 0,
      () => 0,
      shifts,
    );
    addMatches(matches, i, j, shifts, toPixel(i), toPixel(j));
  }
  const bundle = fitBundle(base, matches, first.rotationsDeg, first.parameters);
  return {
    base,
    bundle,
    frames: linked,
    straightener: new Straightener(bundle.model, input.map),
    blurDeg,
    typicalNcc: medianOf(edges.map((e) => e.match.medianNcc)),
  };
}
