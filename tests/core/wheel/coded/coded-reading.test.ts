import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { createWheelReader } from '../../../../core/wheel/reader.ts';
import { restoreState, serialiseState } from '../../../../core/wheel/serialise.ts';
import { asState } from '../../../../core/wheel/state.ts';
import type { RimEllipse, WheelReader } from '../../../../core/wheel/types.ts';
import { decodePicture } from '../../../../electron/cli/decode-picture.ts';
import { loadImageOps } from '../../../../electron/cli/load-opencv.ts';
import { type CodedCondition, summaryOf, tryCoded } from '../../../support/coded-trials.ts';
import { codedFace } from '../../../support/coded-wheel.ts';
import { missingFixturesReason, sharedFolder, sharedPath } from '../../../support/shared-fixtures.ts';
import { photograph, rimOf, syntheticSetup } from '../../../support/synthetic-wheel.ts';

let reader: WheelReader;
beforeAll(async () => {
  reader = createWheelReader(await loadImageOps());
}, 60_000);

/** Each pose is seen under one of these. */
const lights: readonly CodedCondition[] = [
  'clean',
  'short_arc',
  'glare',
  'dark',
  'blurred',
  'hand_over',
  'soft',
  'noisy',
  'mirrored',
  'dim',
];

describe('the coded ring', () => {
  test('at 20 poses up to 35 degrees, what is read in the first picture is right', { timeout: 120_000 }, () => {
    const { wrong, acceptance, text } = summaryOf(
      Array.from({ length: 20 }, (_, i) =>
        tryCoded(reader, 1000 + i, (i * 35) / 19, [lights[i % lights.length] as CodedCondition], false),
      ).flat(),
    );
    console.log(text);
    expect(wrong).toEqual([]);
    expect(acceptance).toBeGreaterThan(0.9);
  });

  test('after the turn a short arc is as good as the whole ring', { timeout: 120_000 }, () => {
    const { wrong, trials, acceptance, text } = summaryOf(
      [2001, 2002].flatMap((seed, i) => tryCoded(reader, seed, 12 + 20 * i, ['short_arc', 'clean'], true)),
    );
    console.log(text);
    expect(wrong).toEqual([]);
    expect(acceptance).toBe(1);
    for (const { errorDeg, sigmaDeg } of trials) expect(Math.abs(errorDeg)).toBeLessThan(Math.min(0.2, 4 * sigmaDeg));
  });

  test('a frame of a coded wheel is read modulo 360 from the first frame on, and the set-up remembers the ring', () => {
    const scene = syntheticSetup(77, { face: codedFace('clockwise'), tiltDeg: 12 });
    const reference = photograph(scene, { rotationDeg: 0, seed: 1 });
    const made = reader.createSetup(reference, rimOf(scene, 0));
    if (!made.ok) throw new Error(made.reason);
    const { setup } = made;
    expect(setup.codedRing?.grows).toBe('clockwise');
    const picture = photograph(scene, { rotationDeg: 237.25, seed: 2 });
    const reading = reader.readFrame(setup, picture);
    expect(reading.accepted).toBe(true);
    expect(reading.modulusDeg).toBe(360);
    expect(Math.abs((reading.rotationDeg ?? 0) - 237.25)).toBeLessThan(0.3);
    const kept = restoreState(serialiseState(asState(setup)));
    expect(kept?.codedRing).toEqual(setup.codedRing);
  });

  test('another wheel size in the picture says nothing', () => {
    const scene = syntheticSetup(78, { face: codedFace('clockwise'), tiltDeg: 5 });
    const made = reader.createSetup(photograph(scene, { rotationDeg: 0, seed: 1 }), rimOf(scene, 0));
    if (!made.ok) throw new Error(made.reason);
    const small = { widthPx: 320, heightPx: 240, stride: 320, data: new Uint8Array(320 * 240) };
    expect(reader.readCodedRing(made.setup, small)).toEqual({ state: 'not_seen' });
  });
});

describe('wheels without a coded ring', () => {
  test('none of 4 random ordinary wheels is taken for one', { timeout: 60_000 }, () => {
    for (let seed = 300; seed < 304; seed++) {
      const scene = syntheticSetup(seed);
      const picture = photograph(scene, { rotationDeg: 0, seed });
      const made = reader.createSetup(picture, rimOf(scene, 0));
      if (!made.ok) continue;
      expect(made.setup.codedRing).toBeNull();
      expect(reader.readCodedRing(made.setup, picture).state).toBe('not_seen');
    }
  });

  test('no photoreal still decodes by chance (every fourth; the proof "coded" takes them all)', {
    timeout: 120_000,
  }, async (ctx) => {
    ctx.skip(sharedFolder === null, missingFixturesReason);
    const folder = sharedPath('fixtures', 'stills');
    const list = JSON.parse(readFileSync(`${folder}/frames-rim.json`, 'utf8')) as {
      setups: { id: string; reference: string; frames: string[]; rim: RimEllipse }[];
    };
    let pictures = 0;
    for (const { reference, frames, rim } of list.setups) {
      const made = reader.createSetup(await decodePicture(`${folder}/${reference}`), rim);
      if (!made.ok) throw new Error(`${reference}: ${made.reason}`);
      expect(made.setup.codedRing).toBeNull();
      for (const frame of frames.filter((_, i) => i % 4 === 0)) {
        expect(reader.readCodedRing(made.setup, await decodePicture(`${folder}/${frame}`)).state).toBe('not_seen');
        pictures++;
      }
    }
    expect(pictures).toBeGreaterThan(20);
  });
});
