import type { GreyPicture } from './types.ts';

/** Matrix of OpenCV.js, as far as it is used here. */
interface Mat {
  readonly rows: number;
  readonly cols: number;
  readonly data: Uint8Array;
  readonly data16S: Int16Array;
  readonly data32F: Float32Array;
  delete(): void;
}

interface MatConstructor {
  new (): Mat;
  new (rows: number, cols: number, type: number): Mat;
}

/**
 * The part of OpenCV.js that the reader uses, in our own words: the package's declarations name functions that don't exist
 * and leave out others. `createImageOps` checks at the start that each one is there.
 */
export interface OpenCv {
  readonly Mat: MatConstructor;
  readonly Size: new (width: number, height: number) => unknown;
  readonly TermCriteria: new (type: number, count: number, epsilon: number) => unknown;
  readonly CV_8UC1: number;
  readonly CV_16S: number;
  readonly CV_32FC2: number;
  readonly TermCriteria_COUNT: number;
  readonly TermCriteria_EPS: number;
  readonly INTER_AREA: number;
  resize(from: Mat, to: Mat, size: unknown, fx: number, fy: number, how: number): void;
  GaussianBlur(from: Mat, to: Mat, size: unknown, sigma: number): void;
  Sobel(from: Mat, to: Mat, depth: number, dx: number, dy: number, size: number): void;
  /** The variant that takes gradients; its plain namesake takes a picture. */
  Canny1(dx: Mat, dy: Mat, edges: Mat, low: number, high: number, accurate: boolean): void;
  goodFeaturesToTrack(
    from: Mat,
    corners: Mat,
    count: number,
    quality: number,
    distance: number,
    mask: Mat,
    block: number,
  ): void;
  calcOpticalFlowPyrLK(
    from: Mat,
    to: Mat,
    points: Mat,
    found: Mat,
    status: Mat,
    error: Mat,
    window: unknown,
    levels: number,
    stop: unknown,
  ): void;
}

/** Edge pixels with their gradients. */
export interface EdgePixels {
  readonly count: number;
  readonly x: Int16Array;
  readonly y: Int16Array;
  readonly dx: Int16Array;
  readonly dy: Int16Array;
}

/** Operations on whole pictures that come from outside. */
export interface ImageOps {
  /** The picture made smaller, each pixel the mean of those it stands for. */
  reduced(picture: GreyPicture, widthPx: number, heightPx: number): GreyPicture;
  /** Canny edges of the picture smoothed by `smoothPx`; `low` and `high` in gradient units of the 3x3 Sobel operator. */
  edges(picture: GreyPicture, smoothPx: number, low: number, high: number): EdgePixels;
  /** Corners worth tracking, x and y in turn; `allowed` is 255 where a corner may lie. */
  corners(picture: GreyPicture, allowed: Uint8Array, count: number): Float32Array;
  /** Where the points of one picture are found in another; NaN where they are lost. */
  track(from: GreyPicture, to: GreyPicture, points: Float32Array): Float32Array;
}

const needed = [
  'Mat',
  'Size',
  'resize',
  'GaussianBlur',
  'Sobel',
  'Canny1',
  'goodFeaturesToTrack',
  'calcOpticalFlowPyrLK',
  'TermCriteria',
] as const;

/**
 * Wraps a loaded OpenCV.js (`await loadOpenCV()`); it is taken as it comes because the package's own types mislead.
 * @throws Error naming the functions that this build lacks
 */
export function createImageOps(library: object): ImageOps {
  const cv = library as OpenCv;
  const missing = needed.filter((name) => typeof cv[name] !== 'function');
  if (missing.length > 0) throw new Error(`This OpenCV.js lacks ${missing.join(', ')}.`);
  const stop = new cv.TermCriteria(cv.TermCriteria_COUNT + cv.TermCriteria_EPS, 20, 0.01);

  /** Runs `work` with matrices that are deleted afterwards, whatever happens: OpenCV's heap isn't collected. */
  const scoped = <T>(work: (mat: (made: Mat) => Mat) => T): T => {
    const made: Mat[] = [];
    try {
      return work((m) => {
        made.push(m);
        return m;
      });
    } finally {
      for (const m of made) m.delete();
    }
  };
  const load = (picture: GreyPicture): Mat => {
    const m = new cv.Mat(picture.heightPx, picture.widthPx, cv.CV_8UC1);
    const into = m.data;
    if (picture.stride === picture.widthPx) into.set(picture.data.subarray(0, picture.widthPx * picture.heightPx));
    else
      for (let y = 0; y < picture.heightPx; y++)
        into.set(picture.data.subarray(y * picture.stride, y * picture.stride + picture.widthPx), y * picture.widthPx);
    return m;
  };
  const loadPoints = (points: Float32Array): Mat => {
    const m = new cv.Mat(points.length / 2, 1, cv.CV_32FC2);
    m.data32F.set(points);
    return m;
  };

  return {
    reduced(picture, widthPx, heightPx) {
      return scoped((mat) => {
        const grey = mat(load(picture));
        const small = mat(new cv.Mat());
        cv.resize(grey, small, new cv.Size(widthPx, heightPx), 0, 0, cv.INTER_AREA);
        return { widthPx, heightPx, stride: widthPx, data: small.data.slice() };
      });
    },
    edges(picture, smoothPx, low, high) {
      return scoped((mat) => {
        const grey = mat(load(picture));
        const smooth = mat(new cv.Mat());
        const dx = mat(new cv.Mat());
        const dy = mat(new cv.Mat());
        const out = mat(new cv.Mat());
        cv.GaussianBlur(grey, smooth, new cv.Size(0, 0), smoothPx);
        cv.Sobel(smooth, dx, cv.CV_16S, 1, 0, 3);
        cv.Sobel(smooth, dy, cv.CV_16S, 0, 1, 3);
        cv.Canny1(dx, dy, out, low, high, true);
        // The views are fetched after the last call that may have grown the heap.
        const mask = out.data;
        const gx = dx.data16S;
        const gy = dy.data16S;
        let count = 0;
        for (let i = 0; i < mask.length; i++) if (mask[i]) count++;
        const edges = {
          count,
          x: new Int16Array(count),
          y: new Int16Array(count),
          dx: new Int16Array(count),
          dy: new Int16Array(count),
        };
        let k = 0;
        for (let i = 0; i < mask.length; i++) {
          if (!mask[i]) continue;
          edges.x[k] = i % picture.widthPx;
          edges.y[k] = (i / picture.widthPx) | 0;
          edges.dx[k] = gx[i] as number;
          edges.dy[k] = gy[i] as number;
          k++;
        }
        return edges;
      });
    },

    corners(picture, allowed, count) {
      return scoped((mat) => {
        const grey = mat(load(picture));
        const mask = mat(new cv.Mat(picture.heightPx, picture.widthPx, cv.CV_8UC1));
        mask.data.set(allowed);
        const found = mat(new cv.Mat());
        cv.goodFeaturesToTrack(grey, found, count, 0.01, 8, mask, 5);
        return found.rows === 0 ? new Float32Array(0) : Float32Array.from(found.data32F.subarray(0, found.rows * 2));
      });
    },

    track(from, to, points) {
      if (points.length === 0) return new Float32Array(0);
      return scoped((mat) => {
        const a = mat(load(from));
        const b = mat(load(to));
        const start = mat(loadPoints(points));
        const found = mat(new cv.Mat());
        const status = mat(new cv.Mat());
        const error = mat(new cv.Mat());
        cv.calcOpticalFlowPyrLK(a, b, start, found, status, error, new cv.Size(15, 15), 2, stop);
        const xy = found.data32F;
        const ok = status.data;
        return Float32Array.from({ length: points.length }, (_, i) => (ok[i >> 1] ? (xy[i] as number) : Number.NaN));
      });
    },
  };
}
