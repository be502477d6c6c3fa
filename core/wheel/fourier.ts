/** Discrete Fourier transform of a fixed power-of-two length, radix 2, tables made once. */
export class Fourier {
  readonly size: number;
  private readonly cos: Float64Array;
  private readonly sin: Float64Array;
  private readonly order: Uint32Array;

  constructor(size: number) {
    this.size = size;
    this.cos = new Float64Array(size / 2);
    this.sin = new Float64Array(size / 2);
    for (let i = 0; i < size / 2; i++) {
      this.cos[i] = Math.cos((2 * Math.PI * i) / size);
      this.sin[i] = -Math.sin((2 * Math.PI * i) / size);
    }
    this.order = new Uint32Array(size);
    const bits = Math.log2(size);
    for (let i = 0; i < size; i++) {
      let r = 0;
      for (let b = 0; b < bits; b++) if (i & (1 << b)) r |= 1 << (bits - 1 - b);
      this.order[i] = r;
    }
  }

  /** In place, X[m] = sum x[n] exp(-2 pi i m n / size). */
  forward(re: Float64Array, im: Float64Array): void {
    const { size, cos, sin, order } = this;
    for (let i = 0; i < size; i++) {
      const j = order[i] as number;
      if (j > i) {
        const a = re[i] as number;
        re[i] = re[j] as number;
        re[j] = a;
        const b = im[i] as number;
        im[i] = im[j] as number;
        im[j] = b;
      }
    }
    for (let half = 1, step = size >> 1; half < size; half <<= 1, step >>= 1) {
      for (let start = 0; start < size; start += half << 1) {
        for (let k = 0, t = 0; k < half; k++, t += step) {
          const i = start + k;
          const j = i + half;
          const c = cos[t] as number;
          const s = sin[t] as number;
          const xr = (re[j] as number) * c - (im[j] as number) * s;
          const xi = (re[j] as number) * s + (im[j] as number) * c;
          re[j] = (re[i] as number) - xr;
          im[j] = (im[i] as number) - xi;
          re[i] = (re[i] as number) + xr;
          im[i] = (im[i] as number) + xi;
        }
      }
    }
  }

  /** In place, the inverse of `forward`. */
  inverse(re: Float64Array, im: Float64Array): void {
    // Swapping the parts turns the forward transform into the inverse one, up to the factor.
    this.forward(im, re);
    const f = 1 / this.size;
    for (let i = 0; i < this.size; i++) {
      re[i] = (re[i] as number) * f;
      im[i] = (im[i] as number) * f;
    }
  }
}
