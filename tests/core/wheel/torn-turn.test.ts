import { expect, test } from 'vitest';
import { createWheelReader } from '../../../core/wheel/reader.ts';
import { loadImageOps } from '../../../electron/cli/load-opencv.ts';
import { photograph, rimOf, type SyntheticSetup, syntheticSetup } from '../../support/synthetic-wheel.ts';

/** A wheel with faint marks and numbers far apart, steeply seen and cut by the border of the picture, under a lamp. */
function cutWheel(): SyntheticSetup {
  const scene = syntheticSetup(12, {
    tiltDeg: 28.787189118098468,
    radiusPx: 184.19727916596457,
    size: [640, 480],
    middle: [0.13, 0.4512767028529197],
  });
  const { values } = scene.face;
  let sum = 0;
  for (let i = 0; i < values.length; i += 97) sum += values[i] as number;
  const mean = sum / Math.ceil(values.length / 97);
  const faded = values.map((v) => mean + (v - mean) * 0.5954011016408913);
  const rim = rimOf(scene, 0);
  return {
    ...scene,
    face: { ...scene.face, values: faded, blurred: new Map() },
    light: {
      ...scene.light,
      spot: 0.20776363268960268,
      spotX: rim.centrePx[0] + 0.3 * rim.fullAxesPx[0],
      spotY: rim.centrePx[1],
      spotWidth: 0.08 * scene.widthPx,
    },
  };
}

test('frames that hang together at a wrong place make no model', { timeout: 120_000 }, async () => {
  const reader = createWheelReader(await loadImageOps());
  const scene = cutWheel();
  const reference = photograph(scene, { rotationDeg: 0, seed: 36 });
  // Found by itself the outline is some pixels off the rim: true neighbours don't match, and false ones do.
  const found = reader.findWheel(reference);
  if (!found.ok) throw new Error(found.reason);
  const made = reader.createSetup(reference, found.rim);
  if (!made.ok) throw new Error(made.reason);
  const turn = reader.startTurn(made.setup);
  reader.addTurnFrame(turn, reference, null);
  const rotations = [
    8.118351678131148, 57.63488921499811, 108.57805367419496, 148.48627577908337, 180.83124181907624,
    236.85103663941845, 273.7636619124096, 303.32458797004074,
  ];
  const pictures = rotations.map((rotationDeg, i) => photograph(scene, { rotationDeg, seed: 1200 + i }));
  for (const picture of pictures) reader.addTurnFrame(turn, picture, null);
  const outcome = reader.finishTurn(turn);
  // Whatever becomes of the turn: no frame may be read at a wrong place.
  if (!outcome.ok) {
    expect(outcome.reason).toBe('model_does_not_fit');
    return;
  }
  pictures.forEach((picture, i) => {
    const reading = reader.readFrame(outcome.setup, picture);
    if (!reading.accepted) return;
    const miss = reading.rotationDeg - (rotations[i] as number);
    expect(Math.abs(miss - 360 * Math.round(miss / 360))).toBeLessThan(0.2);
  });
});
