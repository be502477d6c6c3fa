import { countOf } from '../checks.ts';
import type { Crank } from '../crank/geometry.ts';
import { anglesAtDepthRad, depthAt } from '../crank/geometry.ts';
import { depthInTravel } from '../ports/edge-height.ts';
import { type Deg, degFromRad, type Mm, type Mm2, wrapTurn } from '../units.ts';
import { areaLawFromFloor, areaLawFromRoof, openAreaBy, type WindowShape } from './window.ts';

/** A port whose windows the piston uncovers. */
export interface OpeningPort {
  readonly control: 'crown' | 'skirt';
  /** Deciding edge below the TDC position of the crown, or of the skirt; strictly inside the travel. */
  readonly edgeDepthMm: Mm;
  readonly window: WindowShape;
  /** Equal windows, 1 where absent. */
  readonly windowCount?: number | undefined;
}

export interface PortOpening {
  /** All windows uncovered. */
  readonly fullAreaMm2: Mm2;
  /** Crank angle after TDC, 0 to 360, of the opening and of the closing. */
  readonly opensDeg: Deg;
  readonly closesDeg: Deg;
  /** Open area of all windows at a crank angle after TDC, any turn. */
  areaAt(crankDeg: Deg): Mm2;
}

/**
 * How a port opens and shuts over a turn: its open area at any crank angle.
 * @throws missing, non_positive, negative, out_of_range, inconsistent
 * @source A(x(phi) - roof) for the crown, A(floor - x(phi)) for the skirt
 */
export function portOpening(crank: Crank, port: OpeningPort): PortOpening {
  const depth = depthInTravel(crank, 'edgeDepthMm', port.edgeDepthMm);
  const isCrown = port.control === 'crown';
  const law = isCrown ? areaLawFromRoof(port.window) : areaLawFromFloor(port.window);
  const count = countOf('windowCount', port.windowCount);
  const { down, up } = anglesAtDepthRad(crank, depth);
  const goingDown = degFromRad(down);
  const goingUp = 360 - degFromRad(up);
  return {
    fullAreaMm2: count * law.fullAreaMm2,
    opensDeg: isCrown ? goingDown : goingUp,
    closesDeg: isCrown ? goingUp : goingDown,
    areaAt: (crankDeg) => {
      const uncovered = depthAt(crank, wrapTurn(crankDeg)) - depth;
      return count * openAreaBy(law, isCrown ? uncovered : -uncovered);
    },
  };
}

/** A point of an opening's course. */
export interface OpeningPoint {
  readonly crankDeg: Deg;
  readonly areaMm2: Mm2;
}

/**
 * The course of an opening over one turn, from TDC to TDC, for drawing. Opening and closing are points of their own, so
 * that the line leaves the axis where the port does. Areas over the angle come from the integrals, not from here.
 * @param stepDeg greater than 0
 */
export function openingCourse(opening: PortOpening, stepDeg: Deg): readonly OpeningPoint[] {
  const steps = Math.max(1, Math.round(360 / stepDeg));
  const angles = [
    ...Array.from({ length: steps + 1 }, (_, index) => (360 * index) / steps),
    opening.opensDeg,
    opening.closesDeg,
  ];
  return angles.toSorted((a, b) => a - b).map((crankDeg) => ({ crankDeg, areaMm2: opening.areaAt(crankDeg) }));
}
