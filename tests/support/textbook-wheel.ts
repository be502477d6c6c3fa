import type { GreyPicture, RimEllipse } from '../../core/wheel/types.ts';

/** The few parts of OpenCV.js that the comparison needs. */
interface Mat {
  readonly data: Uint8Array;
  readonly data32F: Float32Array;
  delete(): void;
}
interface TextbookCv {
  readonly Mat: { new (): Mat; new (rows: number, cols: number, type: number): Mat };
  readonly Size: new (width: number, height: number) => unknown;
  readonly Point: new (x: number, y: number) => unknown;
  readonly CV_8UC1: number;
  readonly CV_32FC1: number;
  readonly INTER_LINEAR: number;
  readonly DFT_COMPLEX_OUTPUT: number;
  readonly DFT_INVERSE: number;
  readonly DFT_REAL_OUTPUT: number;
  readonly DFT_SCALE: number;
  warpPolar(from: Mat, to: Mat, size: unknown, centre: unknown, radius: number, flags: number): void;
  dft(from: Mat, to: Mat, flags: number): void;
}

const columns = 128;
const rows = 3600;

/**
 * The textbook way, for comparison: the disc unrolled by warpPolar to 3600 x 128, phase correlation by dft; the reference's
 * transform is kept. OpenCV.js has no phaseCorrelate and no mulSpectrums, so the cross-power spectrum is worked out here.
 */
export function textbookReader(
  library: object,
  reference: GreyPicture,
  rim: RimEllipse,
): { read(picture: GreyPicture): number; close(): void } {
  const cv = library as TextbookCv;
  const centre = new cv.Point(rim.centrePx[0], rim.centrePx[1]);
  const radius = Math.max(...rim.fullAxesPx) / 2;
  const size = new cv.Size(columns, rows);
  const grey = new cv.Mat(reference.heightPx, reference.widthPx, cv.CV_8UC1);
  const polar = new cv.Mat();
  const real = new cv.Mat(rows, columns, cv.CV_32FC1);
  const spectrum = new cv.Mat();
  const surface = new cv.Mat();
  const transform = (picture: GreyPicture): void => {
    grey.data.set(picture.data.subarray(0, picture.widthPx * picture.heightPx));
    cv.warpPolar(grey, polar, size, centre, radius, cv.INTER_LINEAR);
    real.data32F.set(polar.data);
    cv.dft(real, spectrum, cv.DFT_COMPLEX_OUTPUT);
  };
  transform(reference);
  const kept = Float32Array.from(spectrum.data32F);
  return {
    read(picture) {
      transform(picture);
      const s = spectrum.data32F;
      for (let i = 0; i < s.length; i += 2) {
        const a = s[i] as number;
        const b = s[i + 1] as number;
        const c = kept[i] as number;
        const d = kept[i + 1] as number;
        const re = a * c + b * d;
        const im = b * c - a * d;
        const l = Math.sqrt(re * re + im * im) + 1e-9;
        s[i] = re / l;
        s[i + 1] = im / l;
      }
      cv.dft(spectrum, surface, cv.DFT_INVERSE + cv.DFT_REAL_OUTPUT + cv.DFT_SCALE);
      const v = surface.data32F;
      let best = 0;
      for (let i = 1; i < v.length; i++) if ((v[i] as number) > (v[best] as number)) best = i;
      return (Math.floor(best / columns) * 360) / rows;
    },
    close() {
      for (const m of [grey, polar, real, spectrum, surface]) m.delete();
    },
  };
}
