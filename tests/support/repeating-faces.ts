import type { WheelReader, WheelReading, WheelSetup } from '../../core/wheel/types.ts';
import { Random } from './random.ts';
import { blob, drawFace, type Numbering, type SyntheticFace } from './synthetic-face.ts';
import { photograph, rimOf, type Shot, type SyntheticSetup, syntheticSetup } from './synthetic-wheel.ts';

/** A face without lettering or stains, with one spot where asked for, mounted true on the axis. */
export function centredWheel(
  seed: number,
  numbering: Numbering,
  spot?: { atDeg: number; rho: number },
): SyntheticSetup {
  const face: SyntheticFace = drawFace(new Random(seed * 31 + 7), { mayRepeat: true, numbering });
  if (spot !== undefined) blob(face.values, spot.atDeg, spot.rho, 0.02, 0.5);
  return syntheticSetup(seed, {
    size: [800, 600],
    tiltDeg: 5 + ((4 * seed) % 28),
    eccentricityMm: 0,
    runOutDeg: 0,
    face,
  });
}

/** Shots of a turn; a hand or a rag can be had in each of them. */
export const turnOfEight: readonly Shot[] = [38, 77, 121, 163, 204, 246, 290, 331].map((rotationDeg, i) => ({
  rotationDeg,
  seed: 10 + i,
}));

/** The set-up that a turn gives, or why it gives none. */
export function turned(
  reader: WheelReader,
  scene: SyntheticSetup,
  shots: readonly Shot[] = turnOfEight,
): { readonly setup: WheelSetup } | { readonly reason: string } {
  const reference = photograph(scene, { rotationDeg: 0, seed: 1 });
  const made = reader.createSetup(reference, rimOf(scene, 0));
  if (!made.ok) return made;
  const turn = reader.startTurn(made.setup);
  reader.addTurnFrame(turn, reference, null);
  for (const shot of shots) reader.addTurnFrame(turn, photograph(scene, shot), null);
  const outcome = reader.finishTurn(turn);
  return outcome.ok ? { setup: outcome.setup } : outcome;
}

/** How far a reading is off, within its own modulus, degrees. */
export function missOf(reading: WheelReading, rotationDeg: number): number {
  if (!reading.accepted) return Number.NaN;
  const miss = reading.rotationDeg - rotationDeg;
  return Math.abs(miss - reading.modulusDeg * Math.round(miss / reading.modulusDeg));
}
