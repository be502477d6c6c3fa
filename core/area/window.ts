import { notNegative, positive, presentOr, refuse } from '../checks.ts';
import { borderSlack, type Mm, type Mm2 } from '../units.ts';

/** A port window as it is measured. Either rounded corners or a sloping roof; anything else is traced. */
export interface WindowShape {
  /** Projected chord, greater than 0. */
  readonly widthMm: Mm;
  /** Along the bore axis from the roof's highest point to the floor, greater than 0. */
  readonly heightMm: Mm;
  readonly radiusTopMm?: Mm | undefined;
  readonly radiusBottomMm?: Mm | undefined;
  /** Drop of a straight or symmetrically peaked roof from its highest to its lowest point. */
  readonly roofDropMm?: Mm | undefined;
}

/** A stretch of the window, from the edge that opens first, in which one law holds for its area. */
export interface AreaPiece {
  readonly fromMm: Mm;
  readonly toMm: Mm;
  /** Where the law starts or ends like a power 3/2 of the distance, which an integral must take into account. */
  readonly root: 'start' | 'end' | 'none';
}

/** Open area as a function of how far the window is uncovered. */
export interface AreaLaw {
  readonly heightMm: Mm;
  readonly fullAreaMm2: Mm2;
  readonly pieces: readonly AreaPiece[];
  /** Area at 0 <= t <= height; the caller keeps t inside. */
  areaAt(uncoveredMm: Mm): Mm2;
}

/** What a quarter of a unit square lacks where its corner is rounded, twice: two corners of radius 1. */
const cornerLoss = 2 - Math.PI / 2;

/** Area between a depth t below the roof and two corners of radius r, beyond the strip between them. */
function cornerGain(radius: Mm, depth: Mm): Mm2 {
  if (radius === 0) return 0;
  const rest = radius - depth;
  const sector = radius ** 2 * Math.acos(Math.min(1, Math.max(-1, rest / radius)));
  // The two nearly cancel just below the roof, where rounding must not make an area negative.
  return Math.max(0, sector - rest * Math.sqrt(Math.max(0, depth * (2 * radius - depth))));
}

function notEmpty(pieces: readonly AreaPiece[]): AreaPiece[] {
  return pieces.filter(({ fromMm, toMm }) => toMm > fromMm);
}

function roundedLaw(width: Mm, height: Mm, top: Mm, bottom: Mm): AreaLaw {
  const fullAreaMm2 = width * height - cornerLoss * (top ** 2 + bottom ** 2);
  return {
    heightMm: height,
    fullAreaMm2,
    pieces: notEmpty([
      { fromMm: 0, toMm: top, root: 'start' },
      { fromMm: top, toMm: height - bottom, root: 'none' },
      { fromMm: height - bottom, toMm: height, root: 'end' },
    ]),
    areaAt: (t) => {
      if (t <= top) return (width - 2 * top) * t + cornerGain(top, t);
      if (t <= height - bottom) return width * t - cornerLoss * top ** 2;
      const covered = height - t;
      return fullAreaMm2 - ((width - 2 * bottom) * covered + cornerGain(bottom, covered));
    },
  };
}

function slopedLaw(width: Mm, height: Mm, drop: Mm): AreaLaw {
  return {
    heightMm: height,
    fullAreaMm2: width * (height - drop / 2),
    pieces: notEmpty([
      { fromMm: 0, toMm: drop, root: 'none' },
      { fromMm: drop, toMm: height, root: 'none' },
    ]),
    areaAt: (t) => (t <= drop ? (width * t ** 2) / (2 * drop) : width * (t - drop / 2)),
  };
}

/** Sizes checked, defaults filled in. */
export interface CheckedWindow {
  readonly width: Mm;
  readonly height: Mm;
  readonly top: Mm;
  readonly bottom: Mm;
  readonly drop: Mm;
}

/** @throws missing, non_positive, negative, inconsistent where radii, drop and size don't fit together */
export function checkedWindow(shape: WindowShape): CheckedWindow {
  const width = positive('widthMm', shape.widthMm);
  const height = positive('heightMm', shape.heightMm);
  const top = notNegative('radiusTopMm', presentOr('radiusTopMm', shape.radiusTopMm, 0));
  const bottom = notNegative('radiusBottomMm', presentOr('radiusBottomMm', shape.radiusBottomMm, 0));
  const drop = notNegative('roofDropMm', presentOr('roofDropMm', shape.roofDropMm, 0));
  const trace = 'measure again, or trace the outline instead.';
  if (2 * top > width + borderSlack) {
    refuse('inconsistent', 'radiusTopMm', top, `up to half the width, ${width / 2} mm`, trace);
  }
  if (2 * bottom > width + borderSlack) {
    refuse('inconsistent', 'radiusBottomMm', bottom, `up to half the width, ${width / 2} mm`, trace);
  }
  if (top + bottom > height + borderSlack) {
    refuse('inconsistent', 'radiusTopMm', top, `with the lower radius no more than the height, ${height} mm`, trace);
  }
  if (drop > height + borderSlack) {
    refuse('inconsistent', 'roofDropMm', drop, `up to the height, ${height} mm`, trace);
  }
  if (drop > borderSlack && (top > borderSlack || bottom > borderSlack)) {
    refuse('inconsistent', 'roofDropMm', drop, '0 mm where corners are rounded', 'trace the outline instead.');
  }
  return { width, height, top: Math.max(0, top), bottom: Math.max(0, bottom), drop: Math.max(0, drop) };
}

function lawOf({ width, height, top, bottom, drop }: CheckedWindow): AreaLaw {
  return drop > 0
    ? slopedLaw(width, height, drop)
    : roundedLaw(width, height, Math.min(top, height), Math.min(bottom, height - Math.min(top, height)));
}

/**
 * Open area of a window that the crown uncovers from its roof down.
 * @throws missing, non_positive, negative, inconsistent
 * @source strip between the corners plus two circular segments; triangle then strip for a sloping roof
 */
export function areaLawFromRoof(shape: WindowShape): AreaLaw {
  return lawOf(checkedWindow(shape));
}

/**
 * Open area of a window that the skirt uncovers from its floor up.
 * @throws missing, non_positive, negative, inconsistent where the roof slopes: trace the outline instead
 */
export function areaLawFromFloor(shape: WindowShape): AreaLaw {
  const checked = checkedWindow(shape);
  if (checked.drop > 0) {
    refuse('inconsistent', 'roofDropMm', checked.drop, '0 mm for a skirt intake', 'trace the outline instead.');
  }
  return lawOf({ ...checked, top: checked.bottom, bottom: checked.top });
}

/** Area uncovered at any depth of the piston edge past the window's first edge: none before it, all past its end. */
export function openAreaBy(law: AreaLaw, uncoveredMm: Mm): Mm2 {
  if (uncoveredMm <= 0) return 0;
  return uncoveredMm >= law.heightMm ? law.fullAreaMm2 : law.areaAt(uncoveredMm);
}

/**
 * Open area of a window and its full area.
 * @param uncoveredMm depth of the crown edge below the roof, 0 or more; past the floor the window is fully open
 * @throws missing, non_positive, negative, inconsistent
 */
export function portOpenArea(shape: WindowShape, uncoveredMm: Mm): { areaMm2: Mm2; fullAreaMm2: Mm2 } {
  const law = areaLawFromRoof(shape);
  return { areaMm2: openAreaBy(law, notNegative('uncoveredMm', uncoveredMm)), fullAreaMm2: law.fullAreaMm2 };
}

/** A window traced from a rubbing: its width at rising distances from the edge that opens first. */
export interface TracedOutline {
  readonly points: readonly { readonly fromEdgeMm: Mm; readonly widthMm: Mm }[];
}

/**
 * Open area of a traced window, its width running straight between the points.
 * @param outline at least two points, distances rising from 0, widths 0 or more with at least one above 0
 * @throws missing, negative, insufficient_data, inconsistent
 * @source A(t) is the integral of the width
 */
export function areaLawFromOutline(outline: TracedOutline): AreaLaw {
  const { points } = outline;
  if (points.length < 2) {
    refuse('insufficient_data', 'points', points.length, 'at least 2 points', 'trace the window from edge to edge.');
  }
  const knots: { at: Mm; width: Mm; area: Mm2 }[] = [];
  for (const [index, point] of points.entries()) {
    const at = notNegative('fromEdgeMm', point.fromEdgeMm);
    const width = notNegative('widthMm', point.widthMm);
    const before = knots.at(-1);
    if (before === undefined ? at > borderSlack : at <= before.at) {
      const allowed = before === undefined ? '0 mm at the first point' : `greater than ${before.at} mm`;
      refuse('inconsistent', 'fromEdgeMm', at, allowed, `sort point ${index + 1} into its place.`);
    }
    const area = before === undefined ? 0 : before.area + ((before.width + width) / 2) * (at - before.at);
    knots.push({ at, width, area });
  }
  const last = knots.at(-1) as { at: Mm; width: Mm; area: Mm2 };
  positive('fullAreaMm2', last.area);
  return {
    heightMm: last.at,
    fullAreaMm2: last.area,
    pieces: knots.slice(1).map((knot, index) => ({
      fromMm: (knots[index] as { at: Mm }).at,
      toMm: knot.at,
      root: 'none' as const,
    })),
    areaAt: (t) => {
      const index = Math.max(
        1,
        knots.findIndex(({ at }) => at >= t),
      );
      const before = knots[index - 1] as { at: Mm; width: Mm; area: Mm2 };
      const after = knots[index] as { at: Mm; width: Mm };
      const part = (t - before.at) / (after.at - before.at);
      return before.area + (before.width + ((after.width - before.width) * part) / 2) * (t - before.at);
    },
  };
}
