import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createWheelReader } from '../../../core/wheel/reader.ts';
import type { GreyPicture } from '../../../core/wheel/types.ts';
import { decodePicture } from '../../../electron/cli/decode-picture.ts';
import { loadImageOps } from '../../../electron/cli/load-opencv.ts';
import { missingFixturesReason, sharedFolder, sharedPath } from '../../support/shared-fixtures.ts';
import { type ScoredLine, type SetTruth, scoreWheel } from '../../support/wheel-score.ts';

const truth: SetTruth = {
  setups: [{ id: 'a' }, { id: 'b', rotation_symmetry_deg: 180 }],
  frames: [
    {
      file: 'a1',
      setup: 'a',
      role: 'read',
      usable: true,
      refuse_reason: null,
      rotation_deg: 359.999,
      blur_deg: 0,
      occluders: [],
    },
    {
      file: 'a2',
      setup: 'a',
      role: 'negative',
      usable: false,
      refuse_reason: 'dark',
      rotation_deg: 10,
      blur_deg: 0,
      occluders: [],
    },
    {
      file: 'b1',
      setup: 'b',
      role: 'read',
      usable: true,
      refuse_reason: null,
      rotation_deg: 200,
      blur_deg: 0,
      occluders: [],
    },
  ],
};
const line = (setup: string, frame: string, rotationDeg: number | null, modulusDeg = 360): ScoredLine => ({
  setup,
  frame,
  rotationDeg,
  sigmaDeg: rotationDeg === null ? null : 0.004,
  accepted: rotationDeg !== null,
  reason: rotationDeg === null ? 'too_dark' : null,
  modulusDeg,
});

describe('scoring', () => {
  test('errors wrap round the turn, and a half-turn answer counts only where the face repeats', () => {
    const good = scoreWheel(truth, [line('a', 'a1', 0.001), line('a', 'a2', null), line('b', 'b1', 20, 180)], false);
    expect(good.maxDeg).toBeCloseTo(0.002, 6);
    expect(good.acceptedUnusable).toBe(0);
    const bad = scoreWheel(
      truth,
      [line('a', 'a1', 179.999, 180), line('a', 'a2', 12), line('b', 'b1', 20, 180)],
      false,
    );
    expect(bad.maxDeg).toBe(180);
    expect(bad.acceptedUnusable).toBe(1);
    expect(bad.ok).toBe(false);
  });
});

/** Two of the photoreal set-ups: a bright 360-degree wheel steeply seen, and a black one whose numerals repeat. */
describe.each(['dev02', 'dev03'])('the photoreal set-up %s', (id) => {
  test('usable frames are read within 0.05 degrees, unusable ones refused', { timeout: 120_000 }, async (ctx) => {
    ctx.skip(sharedFolder === null, missingFixturesReason);
    const folder = sharedPath('fixtures', 'stills');
    const all = JSON.parse(readFileSync(`${folder}/truth.json`, 'utf8')) as SetTruth;
    const reader = createWheelReader(await loadImageOps());
    const reference = await decodePicture(`${folder}/${id}_00.jpg`);
    const found = reader.findWheel(reference);
    expect(found.ok).toBe(true);
    if (!found.ok) return;
    const made = reader.createSetup(reference, found.rim);
    if (!made.ok) throw new Error(made.reason);
    const turn = reader.startTurn(made.setup);
    reader.addTurnFrame(turn, reference, null);
    const frames = all.frames.filter((f) => f.setup === id && f.role !== 'reference');
    const pictures: GreyPicture[] = [];
    for (const f of frames) pictures.push(await decodePicture(`${folder}/${f.file}`));
    for (const p of pictures) reader.addTurnFrame(turn, p, null);
    const outcome = reader.finishTurn(turn);
    if (!outcome.ok) throw new Error(outcome.reason);
    const lines = frames.map((f, i): ScoredLine => {
      const r = reader.readFrame(outcome.setup, pictures[i] as GreyPicture);
      return {
        setup: id,
        frame: f.file,
        rotationDeg: r.rotationDeg,
        sigmaDeg: r.sigmaDeg,
        accepted: r.accepted,
        reason: r.reason,
        modulusDeg: r.modulusDeg,
      };
    });
    const score = scoreWheel({ setups: all.setups.filter((s) => s.id === id), frames }, lines, true);
    expect(score.acceptedUnusable).toBe(0);
    expect(score.acceptedUsable).toBe(score.usable);
    expect(score.maxDeg).toBeLessThan(0.05);
  });
});
