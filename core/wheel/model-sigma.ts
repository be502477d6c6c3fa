import { modelOf, modelParameterCount, movePixel } from './rigid-model.ts';
import { discToPicture, type RingMap } from './ring-map.ts';
import type { CalibrationState } from './state.ts';

const steps = [1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-2, 1e-2, 1e-2, 1e-2] as const;
const points = 12;

/**
 * Standard uncertainty that the rigid model puts on a rotation, degrees: the parameters' covariance carried to the mean
 * shift of the ring between the reference and this rotation.
 */
export function modelSigmaDeg(calibration: CalibrationState, map: RingMap, rotationDeg: number): number {
  const { base, parameters, covariance, model } = calibration;
  const here = new Float64Array(2);
  const next = new Float64Array(2);
  const there = new Float64Array(2);
  const gradient = new Float64Array(modelParameterCount);
  for (let p = 0; p < modelParameterCount; p++) {
    const q = Float64Array.from(parameters);
    q[p] = (q[p] as number) + (steps[p] as number);
    const changed = modelOf(base, q);
    let sum = 0;
    for (let i = 0; i < points; i++) {
      const t = (2 * Math.PI * i) / points;
      const [x, y] = discToPicture(map.toPicture, 0.92 * Math.cos(t), 0.92 * Math.sin(t));
      movePixel(model, 0, rotationDeg, x, y, here);
      movePixel(model, 0, rotationDeg + 0.1, x, y, next);
      movePixel(changed, 0, rotationDeg, x, y, there);
      const ax = (next[0] as number) - (here[0] as number);
      const ay = (next[1] as number) - (here[1] as number);
      const l2 = ax * ax + ay * ay;
      sum +=
        ((((there[0] as number) - (here[0] as number)) * ax + ((there[1] as number) - (here[1] as number)) * ay) / l2) *
        0.1;
    }
    gradient[p] = sum / points / (steps[p] as number);
  }
  let variance = 0;
  for (let a = 0; a < modelParameterCount; a++)
    for (let b = 0; b < modelParameterCount; b++)
      variance +=
        (gradient[a] as number) * (gradient[b] as number) * (covariance[a * modelParameterCount + b] as number);
  return Math.sqrt(Math.max(0, variance));
}
