import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { GreyPicture } from '../../../core/wheel/types.ts';
import { decodePicture, PictureError } from '../../../electron/cli/decode-picture.ts';
import { readFrameList } from '../../../electron/cli/frame-list.ts';
import { readWheel } from '../../../electron/cli/read-wheel.ts';
import { photograph, rimOf, syntheticSetup } from '../../support/synthetic-wheel.ts';

let folder: string;
let printed: string[];
let told: string[];

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'portsight-wheel-'));
  printed = [];
  told = [];
  vi.spyOn(console, 'log').mockImplementation((text: string) => void printed.push(text));
  vi.spyOn(console, 'error').mockImplementation((text: string) => void told.push(text));
});

afterEach(async () => {
  vi.restoreAllMocks();
  await rm(folder, { recursive: true, force: true });
});

async function save(name: string, picture: GreyPicture): Promise<void> {
  const raw = { width: picture.widthPx, height: picture.heightPx, channels: 1 as const };
  await sharp(Buffer.from(picture.data), { raw }).png().toFile(join(folder, name));
}

describe('decoding pictures', () => {
  test('colours become luma by the weights of a camera’s Y plane', async () => {
    const data = Buffer.from([255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255]);
    await sharp(data, { raw: { width: 4, height: 1, channels: 3 } })
      .png()
      .toFile(join(folder, 'c.png'));
    expect([...(await decodePicture(join(folder, 'c.png'))).data]).toEqual([76, 150, 29, 255]);
  });

  test('orientation tags are applied', async () => {
    const data = Buffer.alloc(40 * 20 * 3, 60);
    const file = join(folder, 'turned.jpg');
    await sharp(data, { raw: { width: 40, height: 20, channels: 3 } })
      .withMetadata({ orientation: 6 })
      .jpeg()
      .toFile(file);
    expect(await decodePicture(file)).toMatchObject({ widthPx: 20, heightPx: 40 });
  });

  test('other formats are refused by name with a way to convert them', async () => {
    const file = join(folder, 'p.webp');
    await sharp({ create: { width: 8, height: 8, channels: 3, background: '#888' } })
      .webp()
      .toFile(file);
    await expect(decodePicture(file)).rejects.toThrow(/WEBP file; only JPEG and PNG .*ffmpeg -i/s);
  });

  test('missing and damaged files are told apart', async () => {
    await expect(decodePicture(join(folder, 'none.jpg'))).rejects.toThrow(/can't be opened/);
    await writeFile(join(folder, 'text.jpg'), 'no picture');
    await expect(decodePicture(join(folder, 'text.jpg'))).rejects.toBeInstanceOf(PictureError);
    const whole = await sharp({ create: { width: 64, height: 64, channels: 3, background: '#484' } })
      .png()
      .toBuffer();
    await writeFile(join(folder, 'cut.png'), whole.subarray(0, whole.length >> 1));
    await expect(decodePicture(join(folder, 'cut.png'))).rejects.toThrow(/damaged/);
  });
});

describe('the list of frames', () => {
  test('a list of another shape is refused with the place and the shape expected', async () => {
    await writeFile(join(folder, 'frames.json'), JSON.stringify({ setups: [{ id: 'a', frames: [] }] }));
    await expect(readFrameList(join(folder, 'frames.json'))).rejects.toThrow(/setups\.0\.reference.*Expected/s);
    await writeFile(join(folder, 'frames.json'), '{');
    await expect(readFrameList(join(folder, 'frames.json'))).rejects.toThrow(/not JSON/);
  });
});

describe('portsight read-wheel', () => {
  test('reads a folder of pictures and prints one line each', { timeout: 60_000 }, async () => {
    const scene = syntheticSetup(71, { size: [640, 480], radiusPx: 190, tiltDeg: 14 });
    const rotations = [0, 52, 101, 149, 203, 248, 305];
    for (const [i, rotationDeg] of rotations.entries())
      await save(`f${i}.png`, photograph(scene, { rotationDeg, seed: i + 1 }));
    await save('dark.png', photograph(scene, { rotationDeg: 80, seed: 30, exposure: 0.01 }));
    const frames = [...rotations.slice(1).map((_, i) => `f${i + 1}.png`), 'dark.png'];
    await writeFile(
      join(folder, 'marked.json'),
      JSON.stringify({ setups: [{ id: 'a', reference: 'f0.png', frames, rim: rimOf(scene, 0) }] }),
    );
    expect(await readWheel([folder, '--frames', 'marked.json'])).toBe(0);
    const lines = printed.map(
      (text) =>
        JSON.parse(text) as {
          frame: string;
          rotationDeg: number | null;
          sigmaDeg: number;
          accepted: boolean;
          reason: string | null;
          modulusDeg: number;
        },
    );
    expect(lines.map((l) => l.frame)).toEqual(frames);
    rotations.slice(1).forEach((r, i) => {
      expect(lines[i]?.accepted).toBe(true);
      expect(Math.abs((lines[i]?.rotationDeg ?? 0) - r)).toBeLessThan(0.02);
      expect(lines[i]?.modulusDeg).toBe(360);
    });
    expect(lines[6]).toMatchObject({ accepted: false, rotationDeg: null, reason: 'too_dark' });
    expect(told.join('\n')).toContain('run-out');
  });

  test('pictures without a wheel are refused, each with the reason', { timeout: 60_000 }, async () => {
    const blank: GreyPicture = { widthPx: 320, heightPx: 240, stride: 320, data: new Uint8Array(320 * 240).fill(120) };
    await save('a.png', blank);
    await save('b.png', blank);
    await writeFile(
      join(folder, 'frames.json'),
      JSON.stringify({ setups: [{ id: 'a', reference: 'a.png', frames: ['b.png'] }] }),
    );
    expect(await readWheel([folder])).toBe(0);
    expect(printed.map((t) => JSON.parse(t).reason)).toEqual(['wheel_not_found']);
    expect(told.join('\n')).toContain('drag the outline');
  });

  test('wrong arguments and missing files end with a message and their own exit code', async () => {
    expect(await readWheel([])).toBe(2);
    expect(await readWheel([folder, '--nonsense'])).toBe(2);
    await mkdir(join(folder, 'empty'));
    expect(await readWheel([join(folder, 'empty')])).toBe(1);
    expect(told.join('\n')).toContain('frames.json');
    expect(await readWheel(['--help'])).toBe(0);
  });
});
