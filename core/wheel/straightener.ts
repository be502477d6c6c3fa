import { gather } from './gather.ts';
import { cross, pixelToFace, project, type RigidModel, rotationMatrix, unit } from './rigid-model.ts';
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
  /** Half axes of the face's own plane: label (u, v) lies at crossing + u right + v down. */
  private readonly right: readonly [number, number, number];
  private readonly down: readonly [number, number, number];
  private readonly xs = new Float32Array(ringColumns * ringRowCount);
  private readonly ys = new Float32Array(ringColumns * ringRowCount);
  private readonly samples = new Float32Array(ringColumns * ringRowCount);
  private readonly turn = new Float64Array(9);
  private readonly pixel = new Float64Array(2);

  constructor(model: RigidModel, map: RingMap) {
    this.model = model;
    [this.right, this.down] = planeAxes(model, map);
    this.points = new Float64Array(allRows.length * nodes * 3);
    const { right, down } = this;
    let o = 0;
    for (const rho of allRows)
      for (let k = 0; k < nodes; k++, o += 3) {
        const u = rho * (columnCos[k * nodeSpacing] as number);
        const v = rho * (columnSin[k * nodeSpacing] as number);
        for (let d = 0; d < 3; d++) this.points[o + d] = u * (right[d] as number) + v * (down[d] as number);
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
      fillBetweenNodes(xs, ys, base);
    }
  }

  /** Picture positions of circles of the face, row after row, when the wheel stands at a rotation. */
  fillPositions(rows: readonly number[], rotationDeg: number, xs: Float32Array, ys: Float32Array): void {
    const { pixel } = this;
    for (let r = 0; r < rows.length; r++) {
      const base = r * ringColumns;
      for (let k = 0; k < nodes; k++) {
        this.pixelOf((2 * Math.PI * k) / nodes, rows[r] as number, rotationDeg, pixel);
        xs[base + k * nodeSpacing] = pixel[0] as number;
        ys[base + k * nodeSpacing] = pixel[1] as number;
      }
      fillBetweenNodes(xs, ys, base);
    }
  }

  /** Picture point of a face point (angle phi at rotation 0 in radians, relative radius rho) at a rotation. */
  pixelOf(phi: number, rho: number, rotationDeg: number, out: Float64Array): void {
    const { model, right, down, turn } = this;
    const u = rho * Math.cos(phi);
    const v = rho * Math.sin(phi);
    const x = u * right[0] + v * down[0];
    const y = u * right[1] + v * down[1];
    const z = u * right[2] + v * down[2];
    rotationMatrix(model.axis, rotationDeg, turn);
    const t = turn as unknown as [number, number, number, number, number, number, number, number, number];
    const [cx, cy, cz] = model.crossing;
    project(
      model,
      cx + t[0] * x + t[1] * y + t[2] * z,
      cy + t[3] * x + t[4] * y + t[5] * z,
      cz + t[6] * x + t[7] * y + t[8] * z,
      out,
    );
  }
}

/** Draws straight lines between the nodes of the row that begins at `base`. */
function fillBetweenNodes(xs: Float32Array, ys: Float32Array, base: number): void {
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

/**
 * Axes of the face about the crank axis, true to scale: only then is a turn of the labels a turn of the wheel, and only then
 * may the proof of uniqueness turn the face as known against the picture. Zero and size follow the set-up's ring map.
 */
function planeAxes(
  model: RigidModel,
  map: RingMap,
): [readonly [number, number, number], readonly [number, number, number]] {
  const p = new Float64Array(3);
  let x = 0;
  let y = 0;
  let z = 0;
  let size = 0;
  const samples = 24;
  const c = model.crossing;
  const n = model.normal;
  const at = (phi: number): [number, number, number] => {
    const [px, py] = discToPicture(map.toPicture, Math.cos(phi), Math.sin(phi));
    pixelToFace(model, 0, px, py, p);
    return [(p[0] as number) - c[0], (p[1] as number) - c[1], (p[2] as number) - c[2]];
  };
  for (let i = 0; i < samples; i++) {
    const phi = (2 * Math.PI * i) / samples;
    const q = at(phi);
    size += Math.hypot(...q) / samples;
    // Turned back by phi in the plane, every mark votes for where zero lies; clockwise on screen is about -n.
    const w = cross(n, q);
    const k = Math.cos(phi);
    const s = Math.sin(phi);
    x += k * q[0] + s * w[0];
    y += k * q[1] + s * w[1];
    z += k * q[2] + s * w[2];
  }
  const zero = unit([x, y, z]);
  const down = cross(zero, n);
  return [
    [zero[0] * size, zero[1] * size, zero[2] * size],
    [down[0] * size, down[1] * size, down[2] * size],
  ];
}
