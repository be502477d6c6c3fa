import { circleToEllipse } from './ellipse.ts';
import type { FaceModel } from './face-model.ts';
import { angleOfSectors, type SectorAngle, scanLags } from './sector-angle.ts';
import { emptyShifts, refineSectors, type SectorShifts, sectorCount } from './sectors.ts';
import type { SetupState } from './state.ts';
import type { Straightener } from './straightener.ts';
import { dropPolarity, emptyStrip, ringRowCount } from './strip.ts';
import type { GreyPicture } from './types.ts';

/** Blur widths tried where the likeness is poor, degrees. */
const widthsDeg = [0.4, 0.7, 1.1, 1.6, 2.2, 3, 4] as const;
/** Above this likeness no blur is looked for. */
const sharpNcc = 0.9;
/** A ring gathered this near to its place needs no gathering again, degrees. */
const nearDeg = 0.3;
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

  /** From a rough rotation to the sectors' common answer. */
  settle(picture: GreyPicture, face: FaceModel, roughDeg: number, halfDeg: number, quick = false): Settled | null {
    let rotationDeg = roughDeg;
    let shiftX = 0;
    let shiftY = 0;
    let blurDeg = 0;
    this.gather(picture, rotationDeg, 0, 0);
    const sharp = scanLags(face.ring, this.ring, halfDeg);
    let scan = sharp;
    if (sharp.ncc < 0.7)
      for (const width of [1.1, 1.6, 2.2, 3]) {
        const other = scanLags(face.blurred(width).strip, this.ring, halfDeg);
        if (other.ncc > scan.ncc + 0.02) {
          scan = other;
          blurDeg = width;
        }
      }
    if (scan.ncc < 0.08) return null;
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
        const better = this.fitBlur(face, angle, blurDeg, start);
        blurDeg = better.blurDeg;
        angle = better.angle;
      }
      rotationDeg += angle.deltaDeg;
      const [mx, my] = this.movePx(angle, rotationDeg);
      shiftX += mx;
      shiftY += my;
      // So near to where it was gathered the ring is straight enough: a live frame needs no second look.
      if (quick && Math.hypot(mx, my) < 0.5) break;
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

  /** Width of motion that explains the frame best; leaves the shifts of the best one behind. */
  private fitBlur(
    face: FaceModel,
    first: SectorAngle,
    startBlurDeg: number,
    start: () => number,
  ): { blurDeg: number; angle: SectorAngle } {
    let best = { blurDeg: startBlurDeg, angle: first };
    const measure = (width: number): SectorAngle | null => {
      const known = face.blurred(width);
      refineSectors(known.strip, known.gradients, this.ring, start, noRadial, this.shifts);
      return angleOfSectors(this.shifts);
    };
    for (const width of [0, ...widthsDeg]) {
      if (width === startBlurDeg) continue;
      const angle = measure(width);
      if (angle !== null && angle.medianNcc > best.angle.medianNcc + 0.005) best = { blurDeg: width, angle };
      else if (width > best.blurDeg + 1.2) break;
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
