import { gather } from './gather.ts';
import { movePixel, pixelToFace, project, type RigidModel, rotationMatrix } from './rigid-model.ts';
import { columnCos, columnSin, discToPicture, type RingMap, ringColumns } from './ring-map.ts';
import {
  faceNormalising,
  faceRowCount,
  faceRows,
  normalise,
  ringNormalising,
  ringRowCount,
  ringRows,
  type Strip,
} from './strip.ts';
import type { GreyPicture } from './types.ts';

/** Every fourth column is computed exactly; between them a straight line is off by less than 0.01 pixel. */
const nodeSpacing = 4;
const nodes = ringColumns / nodeSpacing;
const allRows: readonly number[] = [...ringRows, ...faceRows];

/**
 * Reads the face in its own place: for a rotation it gathers each mark where the rigid model says that the picture shows
 * it, so that eccentricity, run-out, perspective and lens drop out and only one unknown is left, the rotation's error.
 */
export class Straightener {
  readonly model: RigidModel;
  private readonly points: Float64Array;
  private readonly xs = new Float32Array(ringColumns * ringRowCount);
  private readonly ys = new Float32Array(ringColumns * ringRowCount);
  private readonly samples = new Float32Array(ringColumns * ringRowCount);
  private readonly turn = new Float64Array(9);
  private readonly pixel = new Float64Array(2);

  constructor(model: RigidModel, map: RingMap) {
    this.model = model;
    this.points = new Float64Array(allRows.length * nodes * 3);
    const p = new Float64Array(3);
    let o = 0;
    for (const rho of allRows)
      for (let k = 0; k < nodes; k++, o += 3) {
        const x = k * nodeSpacing;
        const [px, py] = discToPicture(map.toPicture, rho * (columnCos[x] as number), rho * (columnSin[x] as number));
        pixelToFace(model, 0, px, py, p);
        this.points[o] = (p[0] as number) - model.crossing[0];
        this.points[o + 1] = (p[1] as number) - model.crossing[1];
        this.points[o + 2] = (p[2] as number) - model.crossing[2];
      }
  }

  /** The ring as it would be seen at rotation 0, if the wheel stands at `rotationDeg`. */
  ring(picture: GreyPicture, rotationDeg: number, shiftX: number, shiftY: number, strip: Strip): void {
    this.positions(rotationDeg, shiftX, shiftY, 0, ringRowCount);
    gather(picture, this.xs, this.ys, ringRowCount * ringColumns, this.samples);
    normalise(this.samples, strip, ringNormalising);
  }

  face(picture: GreyPicture, rotationDeg: number, shiftX: number, shiftY: number, strip: Strip): void {
    this.positions(rotationDeg, shiftX, shiftY, ringRowCount, faceRowCount);
    gather(picture, this.xs, this.ys, faceRowCount * ringColumns, this.samples);
    normalise(this.samples, strip, faceNormalising);
  }

  private positions(rotationDeg: number, shiftX: number, shiftY: number, firstRow: number, rows: number): void {
    const { model, turn, points, xs, ys, pixel } = this;
    rotationMatrix(model.axis, rotationDeg, turn);
    const [cx, cy, cz] = model.crossing;
    const [t0, t1, t2, t3, t4, t5, t6, t7, t8] = turn as unknown as [
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    let o = firstRow * nodes * 3;
    for (let r = 0; r < rows; r++) {
      const base = r * ringColumns;
      for (let k = 0; k < nodes; k++, o += 3) {
        const dx = points[o] as number;
        const dy = points[o + 1] as number;
        const dz = points[o + 2] as number;
        project(
          model,
          cx + t0 * dx + t1 * dy + t2 * dz,
          cy + t3 * dx + t4 * dy + t5 * dz,
          cz + t6 * dx + t7 * dy + t8 * dz,
          pixel,
        );
        xs[base + k * nodeSpacing] = (pixel[0] as number) + shiftX;
        ys[base + k * nodeSpacing] = (pixel[1] as number) + shiftY;
      }
      for (let k = 0; k < nodes; k++) {
        const a = base + k * nodeSpacing;
        const b = k + 1 === nodes ? base : a + nodeSpacing;
        const x0 = xs[a] as number;
        const y0 = ys[a] as number;
        const ux = ((xs[b] as number) - x0) / nodeSpacing;
        const uy = ((ys[b] as number) - y0) / nodeSpacing;
        for (let d = 1; d < nodeSpacing; d++) {
          xs[a + d] = x0 + d * ux;
          ys[a + d] = y0 + d * uy;
        }
      }
    }
  }

  /** Picture point of face point (angle phi at rotation 0 in radians, relative radius rho) at a rotation. */
  pixelOf(map: RingMap, phi: number, rho: number, rotationDeg: number, out: Float64Array): void {
    const [x, y] = discToPicture(map.toPicture, rho * Math.cos(phi), rho * Math.sin(phi));
    movePixel(this.model, 0, rotationDeg, x, y, out);
  }
}
