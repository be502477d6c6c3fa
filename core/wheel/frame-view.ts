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
  return new View(ring, face, repeatDeg);
}

/** A live frame near to where it was expected needs only its strips: the rest is worked out where it is asked for. */
class View implements FrameView {
  readonly ring: Strip;
  readonly face: Strip;
  readonly #repeatDeg: number;
  #spectrum: TurnSpectrum | null = null;
  #gradients: StripGradients | null = null;
  #repeatsAtQuarter: readonly number[] | null = null;

  constructor(ring: Strip, face: Strip, repeatDeg: number) {
    this.ring = ring;
    this.face = face;
    this.#repeatDeg = repeatDeg;
  }

  get spectrum(): TurnSpectrum {
    this.#spectrum ??= turnSpectrum(this.ring, this.face, this.#repeatDeg);
    return this.#spectrum;
  }

  get gradients(): StripGradients {
    this.#gradients ??= gradientsOf(this.ring);
    return this.#gradients;
  }

  get repeatsAtQuarter(): readonly number[] {
    this.#repeatsAtQuarter ??= quartersAlike(this.spectrum);
    return this.#repeatsAtQuarter;
  }
}
