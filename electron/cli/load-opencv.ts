import { createImageOps, type ImageOps, type OpenCv } from '../../core/wheel/image-ops.ts';

/** Loads OpenCV.js (a quarter of a second) and wraps what the wheel reader uses. */
export async function loadImageOps(): Promise<ImageOps> {
  const { loadOpenCV } = await import('@opencvjs/web');
  // The package's declarations name functions that don't exist; createImageOps checks for those that are needed.
  return createImageOps((await loadOpenCV()) as unknown as OpenCv);
}
