import type { Match } from './bundle.ts';
import { type SectorShifts, sectorAngle, sectorCount } from './sectors.ts';

/** Radius at which a sector's shift is measured, on average over the marks, in radii of the ring map. */
export const effectiveRho = 0.92;

/** Pixel of a face or ring point. */
export type PointToPixel = (phi: number, rho: number) => readonly [number, number];

/**
 * Turns the sector shifts of a pair into matches of picture points.
 * @param quarters by how many quarter turns the pair's rotation is taken to be larger than it was measured, on a scale that
 *   repeats: the mark that looks the same stands that much further round
 */
export function addMatches(
  into: Match[],
  fromFrame: number,
  toFrame: number,
  shifts: SectorShifts,
  from: PointToPixel,
  to: PointToPixel = from,
  quarters = 0,
): void {
  const skip = (quarters * sectorCount) / 4;
  for (let s = 0; s < sectorCount; s++) {
    const k = (s + skip) % sectorCount;
    if (!shifts.valid[k]) continue;
    const phi = sectorAngle[s] as number;
    const phiTo = (sectorAngle[k] as number) + ((shifts.shiftDeg[k] as number) * Math.PI) / 180;
    const rhoTo = effectiveRho + (shifts.radial[k] as number);
    const [fromX, fromY] = from(phi, effectiveRho);
    const [toX, toY] = to(phiTo, rhoTo);
    const [nextX, nextY] = to(phiTo + 1e-4, rhoTo);
    const length = Math.hypot(nextX - toX, nextY - toY);
    // Poorer likeness, larger error.
    const spread = 1 + 4 * (1 - (shifts.ncc[k] as number));
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
