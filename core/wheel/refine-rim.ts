import { type CombFit, type CombLines, centreFromTicks, type TickComb } from './comb.ts';
import { meanRadiusPx } from './ellipse.ts';
import { fillRingMatrix } from './ring-map.ts';
import { snapToEdge } from './snap-rim.ts';
import type { GreyPicture, RimEllipse } from './types.ts';

/** Circles on which ticks are looked for, in rim radii; most wheels carry them just inside the rim. */
const rhosInsideRim: readonly number[] = [0.97, 0.94, 0.91];
const unusualRhos: readonly number[] = [0.88, 0.85, 0.82, 0.78, 0.74, 0.7, 0.65, 0.6];

/** Good enough to look no further. */
const clearCoherence = 0.9;
/** How far an operator's outline may lie off the rim, pixels. */
export const dragReachPx = 12;

/** Outline with the centre that the ticks give. */
export interface TickedRim extends CombFit {
  readonly rim: RimEllipse;
}

/**
 * Brings an outline on to the wheel: by the nearest closed edge, by the ticks, or by both, whatever makes the ticks stand
 * most evenly.
 */
export function refineRim(
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  reachPx: number,
  usualRhos: readonly number[] = rhosInsideRim,
): TickedRim {
  const candidates: RimEllipse[] = [rim];
  if (reachPx > 0) {
    const edge = snapToEdge(picture, rim, reachPx);
    if (edge !== null && edge.support > 0.4) candidates.push(edge.rim);
  }
  let best: TickedRim | null = null;
  for (const candidate of candidates) {
    const fit = { ...centreFromTicks(comb, picture, candidate, usualRhos), rim: candidate };
    if (best === null || fit.coherence > best.coherence) best = fit;
    if (best.coherence > clearCoherence) break;
  }
  if ((best as TickedRim).coherence < 0.35)
    for (const candidate of candidates) {
      const fit = { ...centreFromTicks(comb, picture, candidate, unusualRhos), rim: candidate };
      if (fit.coherence > (best as TickedRim).coherence + 0.1) best = fit;
    }
  // Ticks bind scale and vanishing line poorly: where they stand evenly already, climbing would only wander along those.
  return (best as TickedRim).coherence > clearCoherence
    ? (best as TickedRim)
    : polish(comb, picture, best as TickedRim);
}

/**
 * Climbs on all seven numbers of the map together until the ticks stand as evenly as they can on two circles.
 * Scale and vanishing line are hardly bound by ticks, but what is not bound does not bend the strip either.
 */
function polish(comb: TickComb, picture: GreyPicture, start: TickedRim): TickedRim {
  const radius = meanRadiusPx(start.rim);
  const h = new Float64Array(9);
  const rim = start.rim;
  const a = (rim.angleDeg * Math.PI) / 180;
  const c = Math.cos(a);
  const s = Math.sin(a);
  const r1 = rim.fullAxesPx[0] / 2;
  const r2 = rim.fullAxesPx[1] / 2;
  // Centre, the symmetric matrix, and k, all in units that move the ring by about a pixel.
  let p = [
    rim.centrePx[0],
    rim.centrePx[1],
    r1 * c * c + r2 * s * s,
    (r1 - r2) * c * s,
    r1 * s * s + r2 * c * c,
    start.kx * radius,
    start.ky * radius,
  ];
  const measure = (q: readonly number[]): number => {
    fillRingMatrix(
      { cx: q[0] as number, cy: q[1] as number, m00: q[2] as number, m01: q[3] as number, m11: q[4] as number },
      (q[5] as number) / radius,
      (q[6] as number) / radius,
      h,
    );
    const one = comb.measureMatrix(picture, h, start.rho);
    const two = comb.measureMatrix(picture, h, start.rho - 0.022);
    return one.fine + 0.5 * two.fine;
  };
  let value = measure(p);
  for (let step = 1.6; step > 0.08; step /= 2) {
    for (let moved = true, guard = 0; moved && guard < 8; guard++) {
      moved = false;
      for (let i = 0; i < 7; i++)
        for (const d of [step, -step]) {
          const q = [...p];
          q[i] = (q[i] as number) + d;
          // Moving centre and k against each other keeps the true centre and tilts the plane.
          const v = measure(q);
          if (v > value + 1e-4) {
            value = v;
            p = q;
            moved = true;
          }
        }
    }
  }
  const [cx, cy, m00, m01, m11, kxPx, kyPx] = p as [number, number, number, number, number, number, number];
  const polished = ellipseOfMatrix(cx, cy, m00, m01, m11);
  const lines: CombLines = comb.measure(picture, polished, kxPx / radius, kyPx / radius, start.rho);
  if (lines.fine <= start.coherence) return start;
  return { rim: polished, kx: kxPx / radius, ky: kyPx / radius, rho: start.rho, coherence: lines.fine, lines };
}

function ellipseOfMatrix(cx: number, cy: number, m00: number, m01: number, m11: number): RimEllipse {
  const mean = (m00 + m11) / 2;
  const spread = Math.hypot((m00 - m11) / 2, m01);
  const angle = 0.5 * Math.atan2(2 * m01, m00 - m11);
  return {
    centrePx: [cx, cy],
    fullAxesPx: [2 * (mean + spread), 2 * (mean - spread)],
    angleDeg: ((((angle * 180) / Math.PI) % 180) + 180) % 180,
  };
}

/** Lines weaker than this are no ticks. */
const tickLine = 0.25;
const bandStep = 0.01;

/**
 * Outer end of the tick ring, in radii of the given rim: going outwards from where the ticks stand clearest until their
 * lines are gone. Beyond it lie bare metal and surroundings, which stand still and must not be read.
 */
export function outerEndOfTicks(comb: TickComb, picture: GreyPicture, found: TickedRim): number {
  let outer = found.rho;
  for (let rho = found.rho + bandStep; rho < found.rho + 0.2; rho += bandStep) {
    const lines = comb.measure(picture, found.rim, found.kx, found.ky, rho);
    if (lines.fine > tickLine || lines.middle > 1.6 * tickLine) outer = rho;
    else if (rho > outer + 2.5 * bandStep) break;
  }
  return outer;
}
