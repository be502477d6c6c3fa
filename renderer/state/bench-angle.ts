import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { AngleReading } from '../../core/contract/readings.ts';
import { risingFromRotation, tdcFromStop } from '../../core/crank/dead-centre.ts';
import { frameOf, placedAngle, rotationFromReference } from '../../core/mockup/edge-readings.ts';
import { isUsable, type Stamp } from '../../core/mockup/stamps.ts';
import { wrapTurn } from '../../core/units.ts';
import { type SetupInUse, setupsAtBench } from './bench-sight.ts';
import { type LocalRows, withLocal } from './local-rows.ts';

/** The mock-up with everything that is still on its way to the database: the bench computes from what it shows. */
export function wholeAtBench(whole: MockUpWhole, run: LocalRows, setup: SetupInUse | null): MockUpWhole {
  return { ...withLocal(whole, run), setups: [...setupsAtBench(whole.setups, setup)] };
}

/**
 * Reading of true TDC on the rising scale of a set-up's frame, from the usable stop contacts of all the set-ups that
 * carry each other on in it.
 * @returns null while a side is missing, or where the contacts can't be right (the evaluation says why)
 */
export function tdcOfSetup(whole: MockUpWhole, stamps: readonly Stamp[], setupId: string): number | null {
  const setup = whole.setups.find((one) => one.id === setupId);
  if (setup === undefined) return null;
  const { frameId } = frameOf(setup, whole.setups);
  const sides: Record<'forwards' | 'backwards', number[]> = { forwards: [], backwards: [] };
  for (const stamp of stamps) {
    const { subject } = stamp.current;
    if (!isUsable(stamp) || subject.what !== 'stop_contact') continue;
    const placed = placedAngle(subject.angle, whole.setups);
    if (placed === null || placed.frameId !== frameId) continue;
    sides[subject.turning].push(placed.read.angleDeg);
  }
  const forwardDeg = meanOfTurn(sides.forwards);
  const backwardDeg = meanOfTurn(sides.backwards);
  if (forwardDeg === null || backwardDeg === null) return null;
  try {
    const geometry = whole.engine.kind === 'engine' ? crankGeometry(whole.engine.data) : undefined;
    return tdcFromStop({ forwardDeg, backwardDeg, forwardSigmaDeg: 0, backwardSigmaDeg: 0, geometry }).tdcReadingDeg
      .value;
  } catch {
    // Swapped or equal contacts: the evaluation beside says so in full.
    return null;
  }
}

function crankGeometry(data: Extract<MockUpWhole['engine'], { kind: 'engine' }>['data']) {
  const signed = (offset: { mm: number; side: string }): number =>
    offset.side === 'swing_side' ? offset.mm : -offset.mm;
  return {
    strokeMm: data.strokeMm,
    rodLengthMm: data.rodLengthMm,
    offsetMm: signed(data.cylinderOffset) + signed(data.pinOffset),
  };
}

function meanOfTurn(angles: readonly number[]): number | null {
  const [first] = angles;
  if (first === undefined) return null;
  const away = angles.map((angle) => wrapTurn(angle - first + 180) - 180);
  return wrapTurn(first + away.reduce((sum, one) => sum + one, 0) / angles.length);
}

/**
 * Crank angle of a rotation as it is read now.
 * @param rotationDeg degrees clockwise from the reference of the set-up, which may carry earlier ones on
 * @returns degrees forwards from true TDC in [0, 360); null while forwards or TDC isn't known
 */
export function crankAngle(
  whole: MockUpWhole,
  stamps: readonly Stamp[],
  setupId: string,
  rotationDeg: number,
): number | null {
  const setup = whole.setups.find((one) => one.id === setupId);
  const tdcDeg = tdcOfSetup(whole, stamps, setupId);
  if (setup === undefined || setup.forwards === null || tdcDeg === null) return null;
  const { offsetDeg } = frameOf(setup, whole.setups);
  return wrapTurn(risingFromRotation(rotationDeg + offsetDeg, setup.forwards, 360) - tdcDeg);
}

/**
 * Where the crank stood at a stamp, from the reference of the set-up in use.
 * @returns degrees clockwise; null for a typed angle, and for one whose set-up this one doesn't carry on
 */
export function rotationInUse(whole: MockUpWhole, setupId: string, angle: AngleReading): number | null {
  const setup = whole.setups.find((one) => one.id === setupId);
  return setup === undefined ? null : rotationFromReference(angle, setup, whole.setups);
}

/** An angle in the builder's words: figures and the side of TDC. */
export function quotedCrank(
  crankDeg: number,
  decimals: number,
): { figure: string; side: 'ATDC' | 'BTDC'; words: string } {
  return crankDeg <= 180
    ? { figure: crankDeg.toFixed(decimals), side: 'ATDC', words: 'after TDC' }
    : { figure: (360 - crankDeg).toFixed(decimals), side: 'BTDC', words: 'before TDC' };
}
