import type { Calibration, CalibrationFrame } from './calibrate.ts';
import { ringColumns } from './ring-map.ts';
import { sectorCount } from './sectors.ts';
import type { Keyframe } from './state.ts';
import { dropPolarity, emptyStrip, faceRowCount, ringRowCount } from './strip.ts';

/** A sector of a keyframe counts as covered when it looks less than this like the mean of the others. */
const coveredNcc = 0.35;
const coveredNccPolarityFree = 0.12;
/** A keyframe needs this share of its sectors uncovered. */
const leastUncovered = 0.45;

/** Straightens the frames of a fitted turn and marks where something covered the ring. */
export function keyframesOf(
  calibration: Calibration,
  frames: readonly CalibrationFrame[],
  signatures: readonly number[],
  polarityFree: boolean,
): Keyframe[] {
  const { bundle, straightener } = calibration;
  const all = calibration.frames.map((f, i): Keyframe => {
    const picture = (frames[f] as CalibrationFrame).picture;
    const rotationDeg = bundle.rotationsDeg[i] as number;
    const shiftX = bundle.shiftsPx[2 * i] as number;
    const shiftY = bundle.shiftsPx[2 * i + 1] as number;
    const ring = emptyStrip(ringRowCount);
    const face = emptyStrip(faceRowCount);
    straightener.ring(picture, rotationDeg, shiftX, shiftY, ring);
    if (polarityFree) dropPolarity(ring);
    straightener.face(picture, rotationDeg, shiftX, shiftY, face);
    return {
      rotationDeg: rotationDeg - 360 * Math.floor(rotationDeg / 360),
      sigmaDeg: bundle.rotationSigmaDeg[i] as number,
      shiftX,
      shiftY,
      blurDeg: calibration.blurDeg[i] as number,
      signature: signatures[f] as number,
      ring,
      face,
    };
  });
  return maskCovered(all, polarityFree);
}

function maskCovered(all: readonly Keyframe[], polarityFree: boolean): Keyframe[] {
  const n = ringColumns;
  const size = ringRowCount * n;
  const sum = new Float32Array(size);
  for (const k of all) for (let i = 0; i < size; i++) sum[i] = (sum[i] as number) + (k.ring.values[i] as number);
  const least = polarityFree ? coveredNccPolarityFree : coveredNcc;
  return all.filter((k) => {
    let open = 0;
    for (let s = 0; s < sectorCount; s++) {
      const from = Math.round(((s - 0.5) * n) / sectorCount);
      const to = Math.round(((s + 0.5) * n) / sectorCount);
      let ab = 0;
      let aa = 0;
      let bb = 0;
      // A margin of half a sector to each side steadies the figure.
      for (let c = from - 28; c < to + 28; c++) {
        const x = (c + n) % n;
        for (let r = 0; r < ringRowCount; r++) {
          const a = k.ring.values[r * n + x] as number;
          const b = (sum[r * n + x] as number) - a;
          ab += a * b;
          aa += a * a;
          bb += b * b;
        }
      }
      if (ab / Math.sqrt(aa * bb + 1e-9) >= least) open++;
      else
        for (let c = from; c < to; c++) {
          k.ring.valid[(c + n) % n] = 0;
          k.face.valid[(c + n) % n] = 0;
        }
    }
    return open >= leastUncovered * sectorCount;
  });
}
