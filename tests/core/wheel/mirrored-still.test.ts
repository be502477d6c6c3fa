import { expect, test } from 'vitest';
import { createWheelReader } from '../../../core/wheel/reader.ts';
import type { GreyPicture } from '../../../core/wheel/types.ts';
import { loadImageOps } from '../../../electron/cli/load-opencv.ts';
import { flipRows } from '../../../renderer/wheel-worker/luma.ts';
import { photograph, rimOf, syntheticSetup } from '../../support/synthetic-wheel.ts';

const scene = syntheticSetup(71, { size: [640, 480], radiusPx: 190, tiltDeg: 18, eccentricityMm: 0.6, runOutDeg: 0.5 });

function mirrored(picture: GreyPicture): GreyPicture {
  const data = new Uint8Array(picture.widthPx * picture.heightPx);
  flipRows(picture.data, picture.stride, picture.widthPx, picture.heightPx, data);
  return { ...picture, stride: picture.widthPx, data };
}

test('a mirrored still is refused as one that doesn’t match, and read once the mirroring is undone', {
  timeout: 60_000,
}, async () => {
  const reader = createWheelReader(await loadImageOps());
  const reference = photograph(scene, { rotationDeg: 0, seed: 1 });
  const made = reader.createSetup(reference, rimOf(scene, 0));
  if (!made.ok) throw new Error(made.reason);
  const turn = reader.startTurn(made.setup);
  for (const [i, rotationDeg] of [38, 77, 121, 163, 204, 246, 290, 331].entries())
    reader.addTurnFrame(turn, photograph(scene, { rotationDeg, seed: 10 + i }), null);
  const outcome = reader.finishTurn(turn);
  if (!outcome.ok) throw new Error(outcome.reason);
  for (const rotationDeg of [12.4, 148.9, 263.3]) {
    const still = mirrored(photograph(scene, { rotationDeg, seed: 40 }));
    const asItIs = reader.readFrame(outcome.setup, still);
    expect(asItIs.accepted).toBe(false);
    expect(['camera_moved', 'nothing_matches', 'position_not_unique']).toContain(asItIs.reason);
    const undone = reader.readFrame(outcome.setup, mirrored(still));
    expect(undone.accepted).toBe(true);
    expect(Math.abs((undone.rotationDeg ?? Number.NaN) - rotationDeg)).toBeLessThan(0.02);
  }
});
