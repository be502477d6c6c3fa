/** One knock as the microphone heard it. */
export interface Knock {
  /** Start of the knock, in samples since the detector began. */
  readonly atSample: number;
  /** Largest level inside the band, 1 = full scale. */
  readonly level: number;
}

export interface KnockSettings {
  readonly sampleRate: number;
  /** Softer knocks are not meant, 0..1 of full scale. */
  readonly leastLevel: number;
}

const hopSeconds = 0.002;
/** A knock on metal rings in this band; hum lies below it, and most of what a voice says. */
const bandHz = [1500, 6000] as const;
/** The loudest part of a knock comes within some milliseconds; it begins with at least this share of its level. */
const shareToBegin = 0.3;
/** Energy over the noise floor that begins a knock. */
const overFloor = 20;
/** Energy over that of a moment before: voices and valves swell, a knock is there at once. */
const overBefore = 12;
const beforeHops = 4;
/** After this time the knock must have died down to a part of its peak; a shout, hiss or grinder goes on. */
const decaySeconds = 0.05;
const decayedTo = 0.08;
/** What follows so closely is the same knock, its echo or the tool bouncing. */
const refractorySeconds = 0.15;
const floorRiseSeconds = 0.8;
const floorFallSeconds = 0.25;
/** Until the floor is known, nothing is a knock. */
const settleSeconds = 0.3;
/** A muted microphone gives no noise at all: its first whisper is no event. */
const quietest = 1e-7;

/** Second-order section, coefficients after Bristow-Johnson's published equations. */
class Section {
  readonly #b: readonly [number, number, number];
  readonly #a: readonly [number, number];
  #x1 = 0;
  #x2 = 0;
  #y1 = 0;
  #y2 = 0;

  constructor(kind: 'high' | 'low', hz: number, sampleRate: number) {
    const angle = (2 * Math.PI * Math.min(hz, 0.45 * sampleRate)) / sampleRate;
    const alpha = Math.sin(angle) / Math.SQRT2;
    const cosine = Math.cos(angle);
    const scale = 1 + alpha;
    const edge = (kind === 'high' ? 1 + cosine : 1 - cosine) / 2 / scale;
    this.#b = [edge, (kind === 'high' ? -2 : 2) * edge, edge];
    this.#a = [(-2 * cosine) / scale, (1 - alpha) / scale];
  }

  next(x: number): number {
    const y =
      this.#b[0] * x + this.#b[1] * this.#x1 + this.#b[2] * this.#x2 - this.#a[0] * this.#y1 - this.#a[1] * this.#y2;
    this.#x2 = this.#x1;
    this.#x1 = x;
    this.#y2 = this.#y1;
    this.#y1 = y;
    return y;
  }
}

interface Candidate {
  readonly atSample: number;
  peakEnergy: number;
  peakLevel: number;
  hops: number;
}

/**
 * Hears knocks in a stream of samples: a sudden rise of the short-time energy of one band over its own noise floor,
 * loud enough, and gone again at once. A knock is told of when it has died down, with the time at which it began.
 */
export class KnockDetector {
  readonly #sections: readonly Section[];
  readonly #hopSamples: number;
  readonly #settings: KnockSettings;
  readonly #before: number[] = [];
  #samples = 0;
  #inHop = 0;
  #energy = 0;
  #level = 0;
  #floor: number | null = null;
  #deafUntil = 0;
  #candidate: Candidate | null = null;

  constructor(settings: KnockSettings) {
    this.#settings = settings;
    const { sampleRate } = settings;
    this.#hopSamples = Math.max(1, Math.round(hopSeconds * sampleRate));
    this.#sections = [
      new Section('high', bandHz[0], sampleRate),
      new Section('high', bandHz[0], sampleRate),
      new Section('low', bandHz[1], sampleRate),
    ];
    this.#deafUntil = settleSeconds * sampleRate;
  }

  get samples(): number {
    return this.#samples;
  }

  /** @returns the knocks that were decided on inside this block */
  add(block: Float32Array): Knock[] {
    const knocks: Knock[] = [];
    for (const sample of block) {
      let y = sample;
      for (const section of this.#sections) y = section.next(y);
      this.#energy += y * y;
      this.#level = Math.max(this.#level, Math.abs(y));
      this.#samples += 1;
      this.#inHop += 1;
      if (this.#inHop < this.#hopSamples) continue;
      const knock = this.#hop(this.#energy / this.#hopSamples, this.#level);
      if (knock !== null) knocks.push(knock);
      this.#inHop = 0;
      this.#energy = 0;
      this.#level = 0;
    }
    return knocks;
  }

  #hop(energy: number, level: number): Knock | null {
    const floor = this.#floor ?? energy;
    const before = Math.max(quietest, ...this.#before);
    this.#before.push(energy);
    if (this.#before.length > beforeHops) this.#before.shift();
    const candidate = this.#candidate;
    if (candidate !== null) return this.#follow(candidate, energy, level);
    const isLoud = level >= shareToBegin * this.#settings.leastLevel;
    const isSudden = isLoud && energy > overBefore * before && energy > overFloor * Math.max(floor, quietest);
    if (isSudden && this.#samples >= this.#deafUntil) {
      const atSample = this.#samples - this.#hopSamples;
      this.#candidate = { atSample, peakEnergy: energy, peakLevel: level, hops: 0 };
      return null;
    }
    const seconds = energy > floor ? floorRiseSeconds : floorFallSeconds;
    this.#floor = floor + (energy - floor) * Math.min(1, hopSeconds / seconds);
    return null;
  }

  #follow(candidate: Candidate, energy: number, level: number): Knock | null {
    candidate.hops += 1;
    candidate.peakLevel = Math.max(candidate.peakLevel, level);
    candidate.peakEnergy = Math.max(candidate.peakEnergy, energy);
    if (candidate.hops * hopSeconds < decaySeconds) return null;
    this.#candidate = null;
    const { sampleRate, leastLevel } = this.#settings;
    // The loudest of the last few hops: between two syllables it is quiet for a moment, too.
    const now = Math.max(...this.#before);
    const isGone = now <= decayedTo * candidate.peakEnergy;
    if (!isGone || candidate.peakLevel < leastLevel) return null;
    this.#deafUntil = candidate.atSample + refractorySeconds * sampleRate;
    return { atSample: candidate.atSample, level: candidate.peakLevel };
  }
}

/** Knocks that were asked for to learn the level from. */
export const knocksToLearn = 3;
/** Of the softest learned knock: the next one may be softer, but not by much. */
const shareOfSoftest = 0.5;

/** The level that knocks like these pass, 0.01..1. */
export function levelFrom(knocks: readonly number[]): number {
  const softest = Math.min(...knocks);
  return Math.min(1, Math.max(0.01, Math.round(100 * shareOfSoftest * softest) / 100));
}
