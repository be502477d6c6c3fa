import { describe, expect, test } from 'vitest';
import { Fourier } from '../../../core/wheel/fourier.ts';
import { gather, outside } from '../../../core/wheel/gather.ts';
import { refusalText } from '../../../core/wheel/refusals.ts';
import { columnDeg, ringColumns } from '../../../core/wheel/ring-map.ts';
import { angleOfSectors, scanLags } from '../../../core/wheel/sector-angle.ts';
import { emptyShifts, gradientsOf, refineSectors, sectorCount } from '../../../core/wheel/sectors.ts';
import {
  blurAlong,
  emptyStrip,
  normalise,
  ringNormalising,
  ringRowCount,
  type Strip,
} from '../../../core/wheel/strip.ts';
import { arcOf } from '../../../core/wheel/turn-frames.ts';
import { UniquenessProver } from '../../../core/wheel/uniqueness.ts';
import { Random } from '../../support/random.ts';

/** A ring of smooth random marks; `period` repeats them. */
function randomStrip(seed: number, period: number): Strip {
  const random = new Random(seed);
  const samples = new Float32Array(ringRowCount * ringColumns);
  for (let r = 0; r < ringRowCount; r++) {
    const waves = Array.from(
      { length: 40 },
      () => [Math.floor(random.between(4, 300)), random.between(0, 6.28)] as const,
    );
    for (let x = 0; x < ringColumns; x++) {
      let v = 120;
      for (const [m, p] of waves) v += 6 * Math.sin((2 * Math.PI * m * period * x) / ringColumns + p);
      samples[r * ringColumns + x] = v;
    }
  }
  const strip = emptyStrip(ringRowCount);
  normalise(samples, strip, ringNormalising);
  return strip;
}

/** The strip turned by a fraction of columns. */
function turned(strip: Strip, columns: number): Strip {
  const out: Strip = { ...strip, values: new Float32Array(strip.values.length) };
  for (let r = 0; r < strip.rowCount; r++)
    for (let x = 0; x < ringColumns; x++) {
      const y = (((x - columns) % ringColumns) + ringColumns) % ringColumns;
      const i = Math.floor(y);
      const f = y - i;
      const o = r * ringColumns;
      out.values[o + x] =
        (strip.values[o + i] as number) * (1 - f) + (strip.values[o + ((i + 1) % ringColumns)] as number) * f;
    }
  return out;
}

describe('the Fourier transform', () => {
  test('agrees with the definition and is undone by its inverse', () => {
    const f = new Fourier(16);
    const random = new Random(2);
    const re = Float64Array.from({ length: 16 }, () => random.normal());
    const im = Float64Array.from({ length: 16 }, () => random.normal());
    const a = Float64Array.from(re);
    const b = Float64Array.from(im);
    f.forward(a, b);
    let sumRe = 0;
    let sumIm = 0;
    for (let k = 0; k < 16; k++) {
      const t = (-2 * Math.PI * 3 * k) / 16;
      sumRe += (re[k] as number) * Math.cos(t) - (im[k] as number) * Math.sin(t);
      sumIm += (re[k] as number) * Math.sin(t) + (im[k] as number) * Math.cos(t);
    }
    expect(a[3]).toBeCloseTo(sumRe, 10);
    expect(b[3]).toBeCloseTo(sumIm, 10);
    f.inverse(a, b);
    for (const [i, v] of a.entries()) expect(v).toBeCloseTo(re[i] as number, 10);
  });
});

describe('gathering', () => {
  test('reads between pixels and marks what lies outside, minding the stride', () => {
    const picture = { widthPx: 3, heightPx: 2, stride: 5, data: Uint8Array.of(0, 10, 20, 99, 99, 30, 40, 50, 99, 99) };
    const out = new Float32Array(3);
    gather(picture, Float32Array.of(0.5, 1.5, 2.5), Float32Array.of(0.5, 0.25, 0), 3, out);
    expect(out[0]).toBeCloseTo(20);
    expect(out[1]).toBeCloseTo(22.5);
    expect(out[2]).toBe(outside);
  });
});

describe('strips', () => {
  test('shading that changes slowly along the ring drops out', () => {
    const samples = new Float32Array(ringRowCount * ringColumns);
    for (let i = 0; i < samples.length; i++)
      samples[i] = 100 + 60 * Math.sin((2 * Math.PI * (i % ringColumns)) / ringColumns);
    const strip = emptyStrip(ringRowCount);
    normalise(samples, strip, ringNormalising);
    expect(Math.max(...strip.values)).toBeLessThan(0.2);
  });

  test('columns outside the picture are invalid and stay out of their neighbours’ means', () => {
    const samples = new Float32Array(ringRowCount * ringColumns).fill(80);
    for (let r = 0; r < ringRowCount; r++) for (let x = 100; x < 140; x++) samples[r * ringColumns + x] = outside;
    const strip = emptyStrip(ringRowCount);
    normalise(samples, strip, ringNormalising);
    expect([...strip.valid.subarray(98, 142)].join('')).toBe(`11${'0'.repeat(40)}11`);
    expect(Math.abs(strip.values[95] as number)).toBeLessThan(1e-3);
  });

  test('blur along the ring keeps the mean and takes a comb of its own width away', () => {
    const values = Float32Array.from(
      { length: ringColumns },
      (_, x) => 5 + Math.sin((2 * Math.PI * 128 * x) / ringColumns),
    );
    const out = new Float32Array(ringColumns);
    blurAlong(values, 1, 16 * columnDeg, out);
    for (const v of out) expect(v).toBeCloseTo(5, 2);
  });
});

describe('sub-tick shifts', () => {
  test('a ring turned by a fraction of a column is measured to a hundredth of one', () => {
    const known = randomStrip(4, 1);
    const shifts = emptyShifts();
    refineSectors(
      known,
      gradientsOf(known),
      turned(known, 0.37),
      () => 0,
      () => 0,
      shifts,
    );
    const angle = angleOfSectors(shifts);
    expect(angle?.sectors).toBeGreaterThan(0.9 * sectorCount);
    expect((angle?.deltaDeg ?? 9) / columnDeg).toBeCloseTo(0.37, 1);
  });

  test('the whole-ring scan finds the lag', () => {
    const known = randomStrip(4, 1);
    expect(scanLags(known, turned(known, 9), 3).lagDeg).toBeCloseTo(9 * columnDeg, 2);
  });

  test('the whole-ring scan asks only columns that both rings show', () => {
    const whole = randomStrip(4, 1);
    const known = { ...whole, valid: Uint8Array.from(whole.valid, (_, x) => (x < 90 || x > 2000 ? 0 : 1)) };
    const seen = { ...turned(whole, -7), valid: Uint8Array.from(whole.valid, (_, x) => (x > 300 && x < 700 ? 0 : 1)) };
    // What lies outside the picture may hold anything.
    for (let r = 0; r < ringRowCount; r++) known.values.fill(9, r * ringColumns + 2001, (r + 1) * ringColumns);
    const { lagDeg, ncc } = scanLags(known, seen, 2);
    expect(lagDeg).toBeCloseTo(-7 * columnDeg, 2);
    let ab = 0;
    let aa = 0;
    let bb = 0;
    for (let r = 1; r < ringRowCount; r += 3)
      for (let x = 90; x <= 2000; x++) {
        if (!seen.valid[x - 7]) continue;
        const a = known.values[r * ringColumns + x] as number;
        const b = seen.values[r * ringColumns + x - 7] as number;
        ab += a * b;
        aa += a * a;
        bb += b * b;
      }
    expect(ncc).toBeCloseTo(ab / Math.sqrt(aa * bb), 6);
  });
});

describe('the proof of uniqueness', () => {
  const mask = new Uint8Array(ringColumns).fill(1);

  test('a face without repeats is unique, and the same face turned is told so with its rival', () => {
    const face = randomStrip(7, 1);
    const prover = new UniquenessProver(face.values, ringRowCount);
    expect(prover.prove(face.values, mask, 0.6).z).toBeGreaterThan(20);
    const away = prover.prove(turned(face, 300).values, mask, 0.6);
    expect(away.z).toBeLessThan(0);
    expect(away.rivalDeg).toBeCloseTo(300 * columnDeg, 1);
  });

  test('a face that repeats after half a turn leaves nothing to decide between the halves', () => {
    const face = randomStrip(7, 2);
    const proof = new UniquenessProver(face.values, ringRowCount).prove(face.values, mask, 0.6);
    expect(proof.quarterZ[1]).toBeLessThan(0.5);
    const noisy = Float32Array.from(face.values);
    const random = new Random(1);
    for (let i = 0; i < noisy.length; i++) noisy[i] = (noisy[i] as number) + 0.3 * random.normal();
    expect(new UniquenessProver(noisy, ringRowCount).prove(face.values, mask, 0.6).quarterZ[1]).toBeLessThan(4);
  });
});

describe('words and arcs', () => {
  test('the arc covered is the turn less its largest gap', () => {
    expect(arcOf([10, 20, 350])).toBeCloseTo(30);
    expect(arcOf([0])).toBe(0);
    expect(arcOf(Array.from({ length: 36 }, (_, i) => 10 * i))).toBe(360);
  });

  test('each refusal says what is wrong and what to do', () => {
    const { what, remedy } = refusalText('hand_over_rim');
    expect(what).toMatch(/\.$/);
    expect(remedy).toMatch(/\.$/);
  });
});
