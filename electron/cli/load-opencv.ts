import { createImageOps, type ImageOps } from '../../core/wheel/image-ops.ts';

/** Loads OpenCV.js (a quarter of a second) and wraps what the wheel reader uses. */
export async function loadImageOps(): Promise<ImageOps> {
  const { loadOpenCV } = await import('@opencvjs/web');
  return createImageOps(await loadOpenCV());
}
