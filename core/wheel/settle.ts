import { circleToEllipse } from './ellipse.ts';
import type { FaceModel } from './face-model.ts';
import { angleOfSectors, type SectorAngle, scanLags } from './sector-angle.ts';
import { emptyShifts, refineSectors, type SectorShifts, sectorCount } from './sectors.ts';
import type { SetupState } from './state.ts';
import type { Straightener } from './straightener.ts';
import { dropPolarity, emptyStrip, ringRowCount } from './strip.ts';
import type { GreyPicture } from './types.ts';

/** Blur widths tried where the likeness is poor, degrees. */
const widthsDeg: readonly number[] = [0, 0.4, 0.7, 1.1, 1.6, 2.2, 3, 4];
/** A blurred live frame that is at least so like the face blurred as the frame before needs no other width. */
const blurredNcc = 0.8;
/** The same for a frame that was taken for sharp. */
const poorNcc = 0.7;
/** Above this likeness no blur is looked for. */
const sharpNcc = 0.9;
/** A ring gathered this near to its place needs no gathering again, degrees. */
const nearDeg = 0.3;
/** Half of the reach within which the sectors find their place. */
const quickDeltaDeg = 0.1;
const edgeDeg = 0.3;
/** Farthest that is looked for round a live frame's expected place; ticks look alike, so not as far as the next numeral. */
const widestDeg = 4.5;
/** With less likeness than this the place isn't where it was looked for. */
const elsewhereNcc = 0.4;
/** Blur widths that the likeness of the whole ring is tried with. */
const scannedWidthsDeg: readonly number[] = [0, 1.1, 1.6, 2.2, 3];
const noRadial = (): number => 0;

/** Where the sectors of a frame agree. */
export interface Settled {
  readonly rotationDeg: number;
  readonly shiftX: number;
  readonly shiftY: number;
  readonly blurDeg: number;
  readonly angle: SectorAngle;
  readonly matched: number;
  readonly valid: Uint8Array;
}

/** Brings a frame of a calibrated set-up to the sectors' common answer. Keeps its buffers. */
export class Settler {
  /** The ring as it was gathered last. */
  readonly ring = emptyStrip(ringRowCount);
  private readonly state: SetupState;
  private readonly straightener: Straightener;
  private readonly shifts: SectorShifts = emptyShifts();

  constructor(state: SetupState, straightener: Straightener) {
    this.state = state;
    this.straightener = straightener;
  }

  /** Straightens the ring of a picture at a rotation; a shift is that of the disc in the picture, pixels. */
  gather(picture: GreyPicture, rotationDeg: number, shiftX: number, shiftY: number): void {
    this.straightener.ring(picture, rotationDeg, shiftX, shiftY, this.ring);
    if (this.state.polarityFree) dropPolarity(this.ring);
  }

  /**
   * From a rough rotation to the sectors' common answer.
   * @param lastBlurDeg blur of the frame before, for a live frame: it changes slowly, so only its neighbours are tried
   */
  settle(
    picture: GreyPicture,
    face: FaceModel,
    roughDeg: number,
    reachDeg: number,
    lastBlurDeg: number | null = null,
  ): Settled | null {
    let halfDeg = reachDeg;
    const quick = lastBlurDeg !== null;
    let rotationDeg = roughDeg;
    let shiftX = 0;
    let shiftY = 0;
    this.gather(picture, rotationDeg, 0, 0);
    let scan = this.scan(face, halfDeg, lastBlurDeg ?? 0);
    if (quick && halfDeg < widestDeg && (isAtEdge(scan, halfDeg) || scan.ncc < elsewhereNcc)) {
      // A crank that was stopped or jerked is not where its speed would have it; a look further on costs little.
      halfDeg = widestDeg;
      scan = this.scan(face, halfDeg, lastBlurDeg);
    }
    if (scan.ncc < 0.08) return null;
    // At the edge of what was looked at the place itself lies beyond: from there the sectors may settle beside it.
    if (quick && isAtEdge(scan, halfDeg)) return null;
    let { blurDeg } = scan;
    let startDeg = scan.lagDeg;
    if (Math.abs(startDeg) > nearDeg) {
      rotationDeg += startDeg;
      startDeg = 0;
      this.gather(picture, rotationDeg, 0, 0);
    }
    const start = (): number => startDeg;
    let angle: SectorAngle | null = null;
    for (let pass = 0; pass < 4; pass++) {
      if (pass > 0) {
        startDeg = 0;
        this.gather(picture, rotationDeg, shiftX, shiftY);
      }
      const known = face.blurred(blurDeg);
      refineSectors(known.strip, known.gradients, this.ring, start, noRadial, this.shifts);
      angle = angleOfSectors(this.shifts);
      if (angle === null) return null;
      if (pass === 0 && angle.medianNcc < sharpNcc && angle.medianNcc > 0.2) {
        const better = this.fitBlur(face, angle, blurDeg, start, quick, scan.triedAll);
        blurDeg = better.blurDeg;
        angle = better.angle;
      }
      rotationDeg += angle.deltaDeg;
      const [mx, my] = this.movePx(angle, rotationDeg);
      shiftX += mx;
      shiftY += my;
      // So near to where it was gathered the ring is straight enough: a live frame needs no second look.
      if (quick && Math.abs(angle.deltaDeg) < quickDeltaDeg && Math.hypot(mx, my) < 0.5) break;
      if (Math.abs(angle.deltaDeg) < 0.004 && Math.hypot(mx, my) < 0.1) break;
    }
    if (angle === null) return null;
    let matched = 0;
    for (let s = 0; s < sectorCount; s++) matched += this.shifts.valid[s] as number;
    return {
      rotationDeg: rotationDeg - 360 * Math.floor(rotationDeg / 360),
      shiftX,
      shiftY,
      blurDeg,
      angle,
      matched,
      valid: Uint8Array.from(this.shifts.valid),
    };
  }

  /** Lag of the whole ring in the buffer, with the blur that explains it best where the likeness is poor. */
  private scan(face: FaceModel, halfDeg: number, startBlurDeg: number): Scan {
    let blurDeg = startBlurDeg;
    let best = scanLags(face.blurred(blurDeg).strip, this.ring, halfDeg);
    const triedAll = best.ncc < (blurDeg > 0 ? blurredNcc : poorNcc);
    if (triedAll)
      for (const width of scannedWidthsDeg) {
        if (width === startBlurDeg) continue;
        const other = scanLags(face.blurred(width).strip, this.ring, halfDeg);
        if (other.ncc > best.ncc + 0.02) {
          best = other;
          blurDeg = width;
        }
      }
    return { ...best, blurDeg, triedAll };
  }

  /** Width of motion that explains the frame best; leaves the shifts of the best one behind. */
  private fitBlur(
    face: FaceModel,
    first: SectorAngle,
    startBlurDeg: number,
    start: () => number,
    onlyNeighbours: boolean,
    othersScanned: boolean,
  ): { blurDeg: number; angle: SectorAngle } {
    let best = { blurDeg: startBlurDeg, angle: first };
    const measure = (width: number): SectorAngle | null => {
      const known = face.blurred(width);
      refineSectors(known.strip, known.gradients, this.ring, start, noRadial, this.shifts);
      return angleOfSectors(this.shifts);
    };
    const from = nearestWidth(startBlurDeg);
    const near = onlyNeighbours ? [from - 1, from, from + 1] : widthsDeg.keys();
    const tried = new Set<number>();
    for (const at of near) {
      const width = widthsDeg[at];
      tried.add(at);
      if (width === undefined || width === startBlurDeg) continue;
      const angle = measure(width);
      if (angle !== null && angle.medianNcc > best.angle.medianNcc + 0.005) best = { blurDeg: width, angle };
      else if (!onlyNeighbours && width > best.blurDeg + 1.2) break;
    }
    // A crank that was stopped or jerked shows another blur than a moment ago.
    if (onlyNeighbours && !othersScanned && best.angle.medianNcc < sharpNcc - 0.05)
      for (const [at, width] of widthsDeg.entries()) {
        if (tried.has(at)) continue;
        const angle = measure(width);
        if (angle !== null && angle.medianNcc > best.angle.medianNcc + 0.005) best = { blurDeg: width, angle };
      }
    const angle = measure(best.blurDeg);
    return angle === null ? best : { blurDeg: best.blurDeg, angle };
  }

  /** A move in the face's axes as a shift in the picture, pixels. */
  private movePx(angle: SectorAngle, rotationDeg: number): [number, number] {
    const t = (rotationDeg * Math.PI) / 180;
    const c = Math.cos(t);
    const s = Math.sin(t);
    const u = c * angle.moveX - s * angle.moveY;
    const v = s * angle.moveX + c * angle.moveY;
    const e = circleToEllipse(this.state.map.rim);
    return [e.m00 * u + e.m01 * v, e.m01 * u + e.m11 * v];
  }
}

interface Scan {
  readonly lagDeg: number;
  readonly ncc: number;
  readonly blurDeg: number;
  /** Whether other widths of blur were tried as well. */
  readonly triedAll: boolean;
}

function isAtEdge(scan: Scan, halfDeg: number): boolean {
  return Math.abs(scan.lagDeg) > halfDeg - edgeDeg;
}

/** Place of a blur among the widths that are tried. */
function nearestWidth(blurDeg: number): number {
  let best = 0;
  for (let i = 1; i < widthsDeg.length; i++)
    if (Math.abs((widthsDeg[i] as number) - blurDeg) < Math.abs((widthsDeg[best] as number) - blurDeg)) best = i;
  return best;
}
