import { Random } from './random.ts';

export const sampleRate = 48_000;

/** A stretch of sound to which parts are added. Levels are of full scale. */
export class Sound {
  readonly samples: Float32Array;
  readonly random: Random;

  constructor(seconds: number, seed: number) {
    this.samples = new Float32Array(Math.round(seconds * sampleRate));
    this.random = new Random(seed);
  }

  #add(at: number, value: number): void {
    this.samples[at] = (this.samples[at] ?? 0) + value;
  }

  noise(rms: number): this {
    for (let at = 0; at < this.samples.length; at += 1) this.#add(at, rms * this.random.normal());
    return this;
  }

  /** A compressor: mains hum with its harmonics, and the breath of its strokes, ten a second. */
  compressor(level: number): this {
    for (let at = 0; at < this.samples.length; at += 1) {
      const t = at / sampleRate;
      let hum = 0;
      for (let harmonic = 1; harmonic <= 8; harmonic += 1) hum += Math.sin(2 * Math.PI * 50 * harmonic * t) / harmonic;
      const stroke = 0.5 - 0.5 * Math.cos(2 * Math.PI * 10 * t);
      this.#add(at, level * (0.5 * hum + 0.15 * stroke * this.random.normal()));
    }
    return this;
  }

  /** Spanner on a bench: a few damped modes of metal at once. */
  knock(atSeconds: number, level: number): this {
    const modes = Array.from({ length: 4 }, () => ({
      hz: this.random.between(1800, 5500),
      decayS: this.random.between(0.003, 0.014),
      share: this.random.between(0.4, 1),
    }));
    const sum = modes.reduce((all, { share }) => all + share, 0);
    const from = Math.round(atSeconds * sampleRate);
    for (let at = 0; at < 0.12 * sampleRate; at += 1) {
      const t = at / sampleRate;
      let value = 0;
      for (const { hz, decayS, share } of modes)
        value += share * Math.exp(-t / decayS) * Math.sin(2 * Math.PI * hz * t + 1);
      this.#add(from + at, (level * value) / sum);
    }
    return this;
  }

  /** Something like talk: buzzing vowels with formants, hisses that swell, and now and then a burst before a vowel. */
  talk(level: number): this {
    const seconds = this.samples.length / sampleRate;
    let t = 0.1;
    while (t < seconds - 0.5) {
      if (this.random.chance(0.35)) t += this.#hiss(t, level * 0.5);
      else if (this.random.chance(0.4)) this.#burst(t, level * 0.5);
      t += this.#vowel(t, level) + this.random.between(0.02, 0.2);
    }
    return this;
  }

  #vowel(atSeconds: number, level: number): number {
    const seconds = this.random.between(0.08, 0.25);
    const pitchHz = this.random.between(90, 220);
    const formants = [this.random.between(300, 800), this.random.between(900, 2200), this.random.between(2300, 3200)];
    const from = Math.round(atSeconds * sampleRate);
    for (let at = 0; at < seconds * sampleRate; at += 1) {
      const t = at / sampleRate;
      const envelope = Math.min(1, t / 0.03) * Math.min(1, (seconds - t) / 0.04);
      const sincePulse = t % (1 / pitchHz);
      let value = 0;
      for (const [index, hz] of formants.entries()) {
        value += (Math.exp(-sincePulse * 300) * Math.sin(2 * Math.PI * hz * sincePulse)) / (1 + 2 * index);
      }
      this.#add(from + at, level * envelope * value);
    }
    return seconds;
  }

  #hiss(atSeconds: number, level: number): number {
    const seconds = this.random.between(0.06, 0.16);
    const from = Math.round(atSeconds * sampleRate);
    for (let at = 0; at < seconds * sampleRate; at += 1) {
      const t = at / sampleRate;
      this.#add(
        from + at,
        0.4 * level * Math.min(1, t / 0.02) * Math.min(1, (seconds - t) / 0.02) * this.random.normal(),
      );
    }
    return seconds;
  }

  #burst(atSeconds: number, level: number): void {
    const from = Math.round(atSeconds * sampleRate);
    for (let at = 0; at < 0.03 * sampleRate; at += 1) {
      this.#add(from + at, 0.5 * level * Math.exp(-at / (0.006 * sampleRate)) * this.random.normal());
    }
  }
}

/** The sound as a WAV file, mono, 16 bits. */
export function wavOf(samples: Float32Array): Buffer {
  const header = Buffer.alloc(44);
  header.write('RIFF', 0);
  header.writeUInt32LE(36 + 2 * samples.length, 4);
  header.write('WAVEfmt ', 8);
  header.writeUInt32LE(16, 16);
  header.writeUInt16LE(1, 20);
  header.writeUInt16LE(1, 22);
  header.writeUInt32LE(sampleRate, 24);
  header.writeUInt32LE(2 * sampleRate, 28);
  header.writeUInt16LE(2, 32);
  header.writeUInt16LE(16, 34);
  header.write('data', 36);
  header.writeUInt32LE(2 * samples.length, 40);
  const data = Buffer.alloc(2 * samples.length);
  for (const [at, sample] of samples.entries()) {
    data.writeInt16LE(Math.round(32_767 * Math.max(-1, Math.min(1, sample))), 2 * at);
  }
  return Buffer.concat([header, data]);
}
