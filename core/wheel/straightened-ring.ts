import { movePixel } from './rigid-model.ts';
import { discToPicture } from './ring-map.ts';
import { bilinear } from './snap-rim.ts';
import type { SetupState } from './state.ts';
import type { GreyPicture, StraightenedRing } from './types.ts';

const usualSize = { widthPx: 1440, heightPx: 72 } as const;
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
    size: { readonly widthPx: number; readonly heightPx: number } = usualSize,
    into?: Uint8Array,
  ): StraightenedRing {
    const { widthPx, heightPx } = size;
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
      const phi = (2 * Math.PI * Math.min(k * spacing, widthPx)) / widthPx;
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
    for (let x = 0; x < widthPx; x++) {
      const k = (x / spacing) | 0;
      const f = x / spacing - k;
      const ix = (xs[2 * k] as number) * (1 - f) + (xs[2 * k + 2] as number) * f;
      const iy = (ys[2 * k] as number) * (1 - f) + (ys[2 * k + 2] as number) * f;
      const ox = (xs[2 * k + 1] as number) * (1 - f) + (xs[2 * k + 3] as number) * f;
      const oy = (ys[2 * k + 1] as number) * (1 - f) + (ys[2 * k + 3] as number) * f;
      for (let r = 0; r < heightPx; r++) {
        const g = heightPx > 1 ? r / (heightPx - 1) : 0;
        const v = bilinear(picture, ix + g * (ox - ix), iy + g * (oy - iy));
        grey[r * widthPx + x] = v < 0 ? 0 : v + 0.5;
      }
    }
    return { widthPx, heightPx, grey };
  }
}
