import { movePixel } from './rigid-model.ts';
import { discToPicture } from './ring-map.ts';
import type { SetupState } from './state.ts';
import type { GreyPicture, RingBand, StraightenedRing } from './types.ts';

const usualBand: RingBand = { widthPx: 1440, heightPx: 72 };
const inner = 0.7;
const outer = 1.01;
/** Columns between exactly computed places; between them a straight line is near enough for the eye. */
const spacing = 8;

/** Unrolls the ring into a band for the screen. */
export class Unroller {
  private readonly state: SetupState;
  private xs = new Float32Array(0);
  private ys = new Float32Array(0);

  constructor(state: SetupState) {
    this.state = state;
  }

  unroll(
    picture: GreyPicture,
    rotationDeg: number | null,
    band: RingBand = usualBand,
    into?: Uint8Array,
  ): StraightenedRing {
    const { widthPx, heightPx, fromDeg = 0, spanDeg = 360 } = band;
    const grey = into !== undefined && into.length === widthPx * heightPx ? into : new Uint8Array(widthPx * heightPx);
    const knots = Math.ceil(widthPx / spacing) + 1;
    if (this.xs.length !== knots * 2) {
      this.xs = new Float32Array(knots * 2);
      this.ys = new Float32Array(knots * 2);
    }
    const { xs, ys } = this;
    const pixel = new Float64Array(2);
    const model = this.state.calibration?.model ?? null;
    const { toPicture } = this.state.map;
    // Inner and outer edge of the band at every knot; rows lie between them.
    for (let k = 0; k < knots; k++) {
      const phi = ((fromDeg + (spanDeg * Math.min(k * spacing, widthPx)) / widthPx) * Math.PI) / 180;
      for (let e = 0; e < 2; e++) {
        const rho = e === 0 ? inner : outer;
        const turned = model === null && rotationDeg !== null ? phi + (rotationDeg * Math.PI) / 180 : phi;
        const [x, y] = discToPicture(toPicture, rho * Math.cos(turned), rho * Math.sin(turned));
        if (model !== null && rotationDeg !== null) movePixel(model, 0, rotationDeg, x, y, pixel);
        else {
          pixel[0] = x;
          pixel[1] = y;
        }
        xs[2 * k + e] = pixel[0] as number;
        ys[2 * k + e] = pixel[1] as number;
      }
    }
    const rows = Math.max(1, heightPx - 1);
    for (let x = 0; x < widthPx; x++) {
      const k = (x / spacing) | 0;
      const f = x / spacing - k;
      const ix = (xs[2 * k] as number) * (1 - f) + (xs[2 * k + 2] as number) * f;
      const iy = (ys[2 * k] as number) * (1 - f) + (ys[2 * k + 2] as number) * f;
      const ox = (xs[2 * k + 1] as number) * (1 - f) + (xs[2 * k + 3] as number) * f;
      const oy = (ys[2 * k + 1] as number) * (1 - f) + (ys[2 * k + 3] as number) * f;
      fillColumn(picture, ix, iy, (ox - ix) / rows, (oy - iy) / rows, grey, x, band);
    }
    return { widthPx, heightPx, grey };
  }
}

/** One column of the band: a line in the picture from its inner to its outer end, each place bilinear. */
function fillColumn(
  picture: GreyPicture,
  startX: number,
  startY: number,
  stepX: number,
  stepY: number,
  grey: Uint8Array,
  column: number,
  { widthPx, heightPx }: RingBand,
): void {
  const { data, stride } = picture;
  const maxX = picture.widthPx - 1;
  const maxY = picture.heightPx - 1;
  for (let r = 0, at = column; r < heightPx; r++, at += widthPx) {
    const x = startX + r * stepX;
    const y = startY + r * stepY;
    if (!(x >= 0 && y >= 0 && x < maxX && y < maxY)) {
      grey[at] = 0;
      continue;
    }
    const xi = x | 0;
    const yi = y | 0;
    const fx = x - xi;
    const o = yi * stride + xi;
    const p = o + stride;
    const top = (data[o] as number) + fx * ((data[o + 1] as number) - (data[o] as number));
    const bottom = (data[p] as number) + fx * ((data[p + 1] as number) - (data[p] as number));
    grey[at] = top + (y - yi) * (bottom - top) + 0.5;
  }
}
