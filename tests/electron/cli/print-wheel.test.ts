import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { GreyPicture } from '../../../core/wheel/types.ts';
import { printWheel } from '../../../electron/cli/print-wheel.ts';
import { readWheel, type WheelLine } from '../../../electron/cli/read-wheel.ts';
import { codedFace, trueAbsoluteDeg } from '../../support/coded-wheel.ts';
import { photograph, rimOf, type Shot, syntheticSetup } from '../../support/synthetic-wheel.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

let printed: string[];
let told: string[];
beforeEach(() => {
  printed = [];
  told = [];
  vi.spyOn(console, 'log').mockImplementation((text: string) => void printed.push(text));
  vi.spyOn(console, 'error').mockImplementation((text: string) => void told.push(text));
});
afterEach(() => {
  vi.restoreAllMocks();
});

describe('portsight print-wheel', () => {
  test('writes the sheet asked for', async () => {
    const file = join(temporaryFolder(), 'wheel.pdf');
    expect(await printWheel(['--paper', 'letter', '--diameter', '150,5', '--grows', 'anticlockwise', file])).toBe(0);
    const text = readFileSync(file, 'latin1');
    expect(text.startsWith('%PDF-')).toBe(true);
    expect(text).toContain('Degree wheel 150.5 mm, hole 10 mm, numbers growing anticlockwise');
    expect(text).toContain('/MediaBox [0 0 612 792]');
  });

  test.each([
    [['--paper', 'b5', 'x.pdf'], 'There is no paper "b5"'],
    [['--grows', 'up', 'x.pdf'], 'not "up"'],
    [['--diameter', 'large', 'x.pdf'], '--diameter takes a length in mm'],
    [['--paper', 'a4', '--diameter', '400', 'x.pdf'], 'Diameter is 400 mm'],
    [[], 'Name one file to write'],
  ])('%j is refused in words', async (args, words) => {
    expect(await printWheel(args)).toBe(2);
    expect(told.join('\n')).toContain(words);
  });

  test('says where it could not write', async () => {
    expect(await printWheel([join(temporaryFolder(), 'no', 'such', 'folder.pdf')])).toBe(1);
    expect(told.join('\n')).toContain("can't be written");
  });
});

async function save(folder: string, name: string, picture: GreyPicture): Promise<void> {
  const raw = { width: picture.widthPx, height: picture.heightPx, channels: 1 as const };
  await sharp(Buffer.from(picture.data), { raw }).png().toFile(join(folder, name));
}

describe('portsight read-wheel on the printed wheel', () => {
  test('tells the absolute angle of every picture, short arcs among them', { timeout: 60_000 }, async () => {
    const folder = temporaryFolder();
    const scene = syntheticSetup(41, { face: codedFace('clockwise'), tiltDeg: 18, size: [640, 480] });
    const take = (shot: Omit<Shot, 'seed'>, seed: number): GreyPicture => photograph(scene, { ...shot, seed });
    const rotations = [40.25, 95.5, 151, 222.125, 290, 333.3];
    await save(folder, 'r.png', take({ rotationDeg: 0 }, 1));
    for (const [i, rotationDeg] of rotations.entries()) await save(folder, `f${i}.png`, take({ rotationDeg }, 2 + i));
    // A hand covers all but some 80 degrees of the ring.
    await save(folder, 'arc.png', take({ rotationDeg: 17.5, covered: 0.78, coveredAtDeg: 120 }, 20));
    const frames = [...rotations.map((_, i) => `f${i}.png`), 'arc.png'];
    writeFileSync(
      join(folder, 'frames.json'),
      JSON.stringify({ setups: [{ id: 'p', reference: 'r.png', frames, rim: rimOf(scene, 0) }] }),
    );
    expect(await readWheel([folder])).toBe(0);
    const lines = printed.map((line) => JSON.parse(line) as WheelLine);
    const zero = trueAbsoluteDeg(scene, 0);
    lines.forEach(({ frame, accepted, absoluteDeg, absoluteSigmaDeg }, i) => {
      const truth = zero + (rotations[i] ?? 17.5);
      const miss = (absoluteDeg ?? Number.NaN) - truth;
      expect(Math.abs(miss - 360 * Math.round(miss / 360))).toBeLessThan(0.2);
      expect(absoluteSigmaDeg).toBeLessThan(0.15);
      expect(accepted).toBe(frame !== 'arc.png');
    });
    expect(lines).toHaveLength(7);
  });

  test('one picture besides the reference is enough for the absolute angle', { timeout: 60_000 }, async () => {
    const folder = temporaryFolder();
    const scene = syntheticSetup(43, { face: codedFace('anticlockwise'), tiltDeg: 6, size: [640, 480] });
    await save(folder, 'r.png', photograph(scene, { rotationDeg: 0, seed: 1 }));
    await save(folder, 'f.png', photograph(scene, { rotationDeg: 123.4, seed: 2 }));
    writeFileSync(
      join(folder, 'frames.json'),
      JSON.stringify({ setups: [{ id: 'q', reference: 'r.png', frames: ['f.png'] }] }),
    );
    expect(await readWheel([folder])).toBe(0);
    const line = JSON.parse(printed[0] ?? '{}') as WheelLine;
    expect(line).toMatchObject({ accepted: false, reason: 'turn_too_short', rotationDeg: null });
    const miss = (line.absoluteDeg ?? Number.NaN) - trueAbsoluteDeg(scene, 0) - 123.4;
    expect(Math.abs(miss - 360 * Math.round(miss / 360))).toBeLessThan(0.3);
  });
});
