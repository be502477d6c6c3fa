import { type BundleResult, fitBundle, type Match, medianOf } from './bundle.ts';
import type { FaceRepeat } from './face-repeat.ts';
import { type FrameView, frameView } from './frame-view.ts';
import { addMatches, type PointToPixel } from './matches.ts';
import { blurredStrip, matchPair, matchPlaced, type PairMatch } from './pair-match.ts';
import { circlePoses, nominalFocalOfWidth } from './pose.ts';
import { type Edge, fitWithQuarters, restingPlace, settleQuarters } from './quarters.ts';
import type { ModelBase } from './rigid-model.ts';
import { discToPicture, type RingMap, ringColumns } from './ring-map.ts';
import { emptyShifts, gradientsOf, refineSectors, type StripGradients } from './sectors.ts';
import { Straightener } from './straightener.ts';
import { dropPolarity, emptyStrip, faceRowCount, ringRowCount, type Strip } from './strip.ts';
import { misplacedFrames, type NeighbourCheck } from './torn-frames.ts';
import { wrap180 } from './turn-spectrum.ts';
import type { GreyPicture } from './types.ts';

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
  /** Frames that ought to show the same part of the ring don't: some of them hang at a wrong place. */
  readonly isTornApart: boolean;
  readonly repeat: FaceRepeat;
}

/** Frames this near to each other share most of the ring, degrees. */
const neighbourDeg = 45;

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
  let edges: Edge[] = [];
  const waiting: number[] = [];
  for (let j = 1; j < frames.length; j++) {
    const rough = (frames[j] as CalibrationFrame).roughDeg;
    const m =
      (frames[j] as CalibrationFrame).match ??
      matchPair(views[0] as FrameView, views[j] as FrameView, input.tickDeg, rough === null ? undefined : [rough]);
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
  let linked = [...rotation.keys()].sort((a, b) => a - b);
  if (linked.length < 3) return null;

  // The reference alone may be spoilt by glare or a hand; no two different sets of numerals look alike in any frame.
  const quarters = [1, 2, 3].filter((q) => linked.some((f) => (views[f] as FrameView).repeatsAtQuarter.includes(q)));
  const repeat = settleQuarters(edges, rotation, linked, views, quarters, input.tickDeg, input.repeatDeg);
  const placed = new Map(edges.filter((e) => e.from === 0).map((e) => [e.to, e.match]));
  const pairs = choosePairs(linked, rotation);
  const neighbours: NeighbourCheck[] = [];
  for (const [i, j] of pairs) {
    if (edges.some((e) => e.from === i && e.to === j)) {
      if (isNear(rotation, i, j)) neighbours.push({ from: i, to: j, isBorneOut: true });
      continue;
    }
    const placeI = i === 0 ? restingPlace : placed.get(i);
    const placeJ = placed.get(j);
    const expected = ((rotation.get(j) as number) - (rotation.get(i) as number) + 720) % 360;
    let m =
      placeI === undefined || placeJ === undefined
        ? null
        : matchPlaced(views[i] as FrameView, placeI, views[j] as FrameView, placeJ);
    if (!good(m) && linked.length <= 12)
      m = matchPair(views[i] as FrameView, views[j] as FrameView, input.tickDeg, [expected], true);
    if (m !== null && isNear(rotation, i, j)) neighbours.push({ from: i, to: j, isBorneOut: good(m) });
    if (good(m)) edges.push({ from: i, to: j, match: m });
  }
  const misplaced = misplacedFrames(neighbours, linked.length);
  const isTornApart = misplaced === null;
  if (misplaced !== null && misplaced.size > 0) {
    edges = edges.filter(({ from, to }) => !misplaced.has(from) && !misplaced.has(to));
    linked = hangingTogether(linked, edges);
    if (linked.length < 3) return null;
  }

  const base = modelBase(input);
  const first = fitWithQuarters(base, input.map, edges, linked, rotation, quarters);
  return { ...refineStraightened(input, frames, linked, edges, base, first), isTornApart, repeat };
}

/** Frames that matches still tie to the reference. */
function hangingTogether(linked: readonly number[], edges: readonly Edge[]): number[] {
  const tied = new Set([0]);
  for (let grown = -1; grown !== tied.size; ) {
    grown = tied.size;
    for (const { from, to } of edges)
      if (tied.has(from) !== tied.has(to)) {
        tied.add(from);
        tied.add(to);
      }
  }
  return linked.filter((f) => tied.has(f));
}

function isNear(rotation: ReadonlyMap<number, number>, i: number, j: number): boolean {
  return Math.abs(wrap180((rotation.get(i) as number) - (rotation.get(j) as number))) <= neighbourDeg;
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

/** Second pass: shifts measured again between strips that the first model has straightened, then the final fit. */
function refineStraightened(
  input: CalibrationInput,
  frames: readonly CalibrationFrame[],
  linked: readonly number[],
  edges: readonly Edge[],
  base: ModelBase,
  first: BundleResult,
): Omit<Calibration, 'isTornApart' | 'repeat'> {
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
      straightener.pixelOf(phi, rho, first.rotationsDeg[i] as number, pixel);
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
