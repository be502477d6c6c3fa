import { concentric, inPictureFraction, leastCoherence } from './centred-rim.ts';
import { centreFromTicks, plainTickness, type TickComb } from './comb.ts';
import { edgeGrid } from './edge-grid.ts';
import { axisRatio, meanRadiusPx } from './ellipse.ts';
import { type EllipseCandidate, ellipsesAbout } from './ellipse-candidates.ts';
import { ellipseCentreSteps } from './ellipse-centres.ts';
import { evenLight } from './even-light.ts';
import type { EdgePixels, ImageOps } from './image-ops.ts';
import { circlePoses, nominalFocalOfWidth } from './pose.ts';
import { outerEndOfTicks, refineRim, type TickedRim } from './refine-rim.ts';
import { ringOuter } from './strip.ts';
import type { FoundWheel, GreyPicture, RimEllipse } from './types.ts';

/** Rim diameters looked for, in picture heights, but never more than `alwaysSoughtPx` at the least. */
const leastOfHeight = 0.3;
const alwaysSoughtPx = 320;
const mostOfHeight = 1.75;
/** Canny thresholds on the evened picture, units of the Sobel operator; raised until edges fill no more than their share. */
const edgeHighs: readonly number[] = [110, 170, 240, 320, 420];
const lowOfHigh = 0.4;
const mostEdgeShare = 0.06;
/** Circles searched for ticks: the edge found may be the rim, or a printed circle inside or outside the ticks. */
const rhos: readonly number[] = [
  0.97, 0.94, 0.91, 0.88, 0.84, 1.04, 0.8, 1.08, 0.76, 1.12, 1.18, 0.7, 1.26, 0.64, 1.36, 1.48,
];
/** Sure enough to look at no other candidate. */
const sureCoherence = 0.6;
const leastSupport = 0.35;
const centresTried = 10;
const candidatesTried = 8;
const circlesTried = 4;
/** Less than faint laser marks show: not worth a look. */
const leastTickness = 2;
const leastAxisRatio = 0.68;
const leastRadiusPx = 90;

/**
 * Finds the wheel: ellipses about every point where opposite edges centre, accepted only where ticks stand evenly round
 * one of their circles. A ring without ticks is never taken: static content is a perfect liar.
 */
export function findWheelIn(ops: ImageOps, comb: TickComb, picture: GreyPicture): FoundWheel {
  const steps = findWheelSteps(ops, comb, picture);
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

/**
 * The same in steps of mostly under a tenth of a second (a few take two), so that pictures and messages are seen to
 * meanwhile. The picture must stay as it is until the end.
 * @yields share of the search that is done, 0..1
 */
export function* findWheelSteps(ops: ImageOps, comb: TickComb, picture: GreyPicture): Generator<number, FoundWheel> {
  const even = evenLight(forEdges(ops, picture));
  let best: TickedRim | null = null;
  // Fine noise hides a dim rim at first; a smoothed picture shows it.
  for (const [pass, smoothPx] of smoothings.entries()) {
    const search = searchEdges(comb, picture, even, () => sparseEdges(ops, even, smoothPx));
    const found = yield* partOf(search, pass / smoothings.length, (pass + 1) / smoothings.length);
    best = moreCoherent(best, found);
    if (isSure(best)) break;
  }
  if (best === null || best.coherence < leastFindCoherence) return { ok: false, reason: 'wheel_not_found' };
  if (inPictureFraction(best.rim, picture) < 0.5) return { ok: false, reason: 'wheel_not_whole' };
  return { ok: true, rim: best.rim, confidence: Math.min(1, (best.coherence - leastCoherence) / 0.6) };
}

/** What edges and ellipses are measured by, in pixels, was found on pictures of this width. */
const mostEdgesWidthPx = 1280;

/** Larger pictures are looked over smaller: their outlines are as sharp there, and take a fraction of the time. */
function forEdges(ops: ImageOps, picture: GreyPicture): GreyPicture {
  if (picture.widthPx <= mostEdgesWidthPx) return picture;
  const heightPx = Math.round((picture.heightPx * mostEdgesWidthPx) / picture.widthPx);
  return ops.reduced(picture, mostEdgesWidthPx, heightPx);
}

/** An outline in a picture `times` as large; a pixel's middle is its place. */
function enlarged({ centrePx: [x, y], fullAxesPx: [a, b], angleDeg }: RimEllipse, times: number): RimEllipse {
  return {
    centrePx: [(x + 0.5) * times - 0.5, (y + 0.5) * times - 0.5],
    fullAxesPx: [a * times, b * times],
    angleDeg,
  };
}

/** Steps that make up a part of the whole: their shares, 0..1, become shares of the whole from one to the other. */
function* partOf<Result>(steps: Generator<number, Result>, from: number, to: number): Generator<number, Result> {
  let step = steps.next();
  for (; !step.done; step = steps.next()) yield from + (to - from) * step.value;
  return step.value;
}

/**
 * @param small the picture, or a smaller one of it, in which edges are looked for; ticks are always read in the picture
 * @yields share of this search that is done, 0..1
 */
function* searchEdges(
  comb: TickComb,
  picture: GreyPicture,
  small: GreyPicture,
  findEdges: () => EdgePixels,
): Generator<number, TickedRim | null> {
  const { widthPx, heightPx } = small;
  const times = picture.widthPx / widthPx;
  const least = Math.min(leastOfHeight * heightPx, alwaysSoughtPx / times);
  const most = mostOfHeight * heightPx;
  yield 0;
  const edges = findEdges();
  yield 0.1;
  const grid = edgeGrid(edges, widthPx, heightPx);
  const centres = yield* partOf(ellipseCentreSteps(edges, widthPx, heightPx, least, most, centresTried), 0.1, 0.2);
  let best: TickedRim | null = null;
  const faint: Promising[] = [];
  for (const [index, centre] of centres.entries()) {
    const share = (ofCentre: number): number => 0.2 + (0.6 * (index + ofCentre)) / centres.length;
    yield share(0);
    const about = ellipsesAbout(edges, grid, centre, widthPx, heightPx, least, most, 4).filter(
      (c) => c.support >= leastSupport && axisRatio(c.rim) > leastAxisRatio && meanRadiusPx(c.rim) > leastRadiusPx,
    );
    const plain: Promising[] = [];
    for (const candidate of about) {
      yield share(0.5);
      const ticked = withTickedCircles(comb, picture, { ...candidate, rim: enlarged(candidate.rim, times) });
      if (ticked.tickness > plainTickness) plain.push(ticked);
      else if (ticked.rhos.length > 0) faint.push(ticked);
    }
    // The best supported centre comes first: a wheel in plain view needs no look at the others, which take most of the time.
    for (const candidate of plain.sort(byTickness)) {
      yield share(0.9);
      best = moreCoherent(best, tickedRim(comb, picture, candidate));
      if (isSure(best)) return best;
    }
  }
  const candidates = faint.sort(byTickness).slice(0, candidatesTried);
  for (const [index, candidate] of candidates.entries()) {
    yield 0.8 + (0.2 * index) / candidates.length;
    best = moreCoherent(best, tickedRim(comb, picture, candidate));
    if (isSure(best)) return best;
  }
  return best;
}

const isSure = (ticked: TickedRim | null): boolean => ticked !== null && ticked.coherence > sureCoherence;

function moreCoherent(one: TickedRim | null, other: TickedRim | null): TickedRim | null {
  return one === null || (other !== null && other.coherence > one.coherence) ? other : one;
}

/** Widths by which the picture is smoothed, one pass after the other, pixels. */
const smoothings: readonly number[] = [0.8, 2];

function sparseEdges(ops: ImageOps, even: GreyPicture, smoothPx: number): EdgePixels {
  const most = mostEdgeShare * even.widthPx * even.heightPx;
  let edges: EdgePixels | null = null;
  for (const high of edgeHighs) {
    edges = ops.edges(even, smoothPx, high * lowOfHigh, high);
    if (edges.count < most) break;
  }
  return edges as EdgePixels;
}

/** Without a person's outline behind it a wheel must show its ticks more clearly. */
const leastFindCoherence = 0.33;

interface Promising extends EllipseCandidate {
  /** Circles that may carry ticks, best first. */
  readonly rhos: readonly number[];
  readonly tickness: number;
}

/** A quick look at every circle: the spectrum shows ticks wherever the centre may be. */
function withTickedCircles(comb: TickComb, picture: GreyPicture, candidate: EllipseCandidate): Promising {
  // Seen steeply, a centre taken in the middle of the ellipse spreads the lines too far: the two likely poses are tried too.
  const px = (picture.widthPx - 1) / 2;
  const py = (picture.heightPx - 1) / 2;
  const poses = circlePoses(candidate.rim, nominalFocalOfWidth * picture.widthPx, px, py).filter(
    (p) => Math.hypot(p.kx, p.ky) < 0.35,
  );
  const places = axisRatio(candidate.rim) > 0.95 ? [{ kx: 0, ky: 0 }] : [{ kx: 0, ky: 0 }, ...poses];
  const circles = rhos
    .map((rho) => ({
      rho,
      tickness: Math.max(...places.map((p) => comb.tickness(picture, candidate.rim, p.kx, p.ky, rho))),
    }))
    .filter((c) => c.tickness > leastTickness)
    .sort((a, b) => b.tickness - a.tickness)
    .slice(0, circlesTried);
  return { ...candidate, rhos: circles.map((c) => c.rho), tickness: circles[0]?.tickness ?? 0 };
}

const byTickness = (x: Promising, y: Promising): number => y.tickness - x.tickness;

function tickedRim(comb: TickComb, picture: GreyPicture, candidate: Promising): TickedRim | null {
  const fit = centreFromTicks(comb, picture, candidate.rim, candidate.rhos, sureCoherence);
  if (fit.coherence < leastCoherence) return null;
  // The circle found is exact; the rim is drawn where the ticks end, on a circle about the same centre.
  const polished = refineRim(comb, picture, candidate.rim, 0, [fit.rho]);
  const found = polished.coherence > fit.coherence + 0.05 ? polished : { ...fit, rim: candidate.rim };
  const scale = outerEndOfTicks(comb, picture, found) / ringOuter;
  return { ...found, ...concentric(found, scale), rho: found.rho / scale };
}

/** The outline found may lie this far off the marked one: its centre in marked radii, its size as a share of the marked. */
const mostOffCentre = 0.05;
const sizesOfMarked = { least: 0.8, most: 1.15 } as const;

/**
 * The wheel about the middle of an outline that a person has marked, where the outline itself doesn't lead to the ticks.
 * @returns null where no ticks stand round a circle there
 */
export function findWheelAbout(
  ops: ImageOps,
  comb: TickComb,
  picture: GreyPicture,
  marked: RimEllipse,
): TickedRim | null {
  const even = evenLight(forEdges(ops, picture));
  const times = picture.widthPx / even.widthPx;
  const { centrePx, fullAxesPx } = enlarged(marked, 1 / times);
  const least = sizesOfMarked.least * Math.min(...fullAxesPx);
  const most = sizesOfMarked.most * Math.max(...fullAxesPx);
  let best: TickedRim | null = null;
  for (const smoothPx of smoothings) {
    const edges = sparseEdges(ops, even, smoothPx);
    const grid = edgeGrid(edges, even.widthPx, even.heightPx);
    const centre = { x: centrePx[0], y: centrePx[1], votes: 0 };
    const candidates = ellipsesAbout(edges, grid, centre, even.widthPx, even.heightPx, least, most, candidatesTried)
      .filter((c) => c.support >= leastSupport)
      .map((c) => withTickedCircles(comb, picture, { ...c, rim: enlarged(c.rim, times) }))
      .filter((c) => c.rhos.length > 0);
    for (const candidate of candidates.sort(byTickness).slice(0, circlesTried)) {
      const ticked = tickedRim(comb, picture, candidate);
      if (ticked !== null && isAbout(ticked.rim, marked)) best = moreCoherent(best, ticked);
      if (isSure(best)) return best;
    }
  }
  return best;
}

function isAbout(rim: RimEllipse, marked: RimEllipse): boolean {
  const radiusPx = meanRadiusPx(marked);
  const [x, y] = rim.centrePx;
  const size = meanRadiusPx(rim) / radiusPx;
  return (
    Math.hypot(x - marked.centrePx[0], y - marked.centrePx[1]) <= mostOffCentre * radiusPx &&
    size >= sizesOfMarked.least &&
    size <= sizesOfMarked.most
  );
}
