import { gradientsOf, type StripGradients } from './sectors.ts';
import type { Strip } from './strip.ts';
import { quartersAlike, type TurnSpectrum, turnSpectrum } from './turn-spectrum.ts';

/** One frame of a set-up, unrolled through the set-up's fixed ring map. */
export interface FrameView {
  readonly ring: Strip;
  readonly face: Strip;
  readonly spectrum: TurnSpectrum;
  readonly gradients: StripGradients;
  /** Quarter turns (1, 2, 3) after which the ring looks much the same. */
  readonly repeatsAtQuarter: readonly number[];
}

export function frameView(ring: Strip, face: Strip, repeatDeg: number): FrameView {
  const spectrum = turnSpectrum(ring, face, repeatDeg);
  return { ring, face, spectrum, gradients: gradientsOf(ring), repeatsAtQuarter: quartersAlike(spectrum) };
}
