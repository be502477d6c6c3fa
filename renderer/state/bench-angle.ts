import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { WheelSetup } from '../../core/contract/readings.ts';
import { risingFromRotation, tdcFromStop } from '../../core/crank/dead-centre.ts';
import { placedAngle } from '../../core/mockup/edge-readings.ts';
import { isUsable, type Stamp } from '../../core/mockup/stamps.ts';
import { wrapTurn } from '../../core/units.ts';
import type { RunState } from './bench-run.ts';
import type { SetupInUse } from './bench-sight.ts';

/** The mock-up with everything that is still on its way to the database: the bench computes from what it shows. */
export function wholeAtBench(
  whole: MockUpWhole,
  run: Pick<RunState, 'localReadings' | 'localMarks'>,
  setup: SetupInUse | null,
): MockUpWhole {
  const readings = new Set(whole.readings.map((reading) => reading.id));
  const setups = whole.setups.filter((one) => one.id !== setup?.id);
  const kept = whole.setups.find((one) => one.id === setup?.id);
  const inUse: WheelSetup[] =
    setup === null
      ? []
      : [
          {
            ...setup.content,
            id: setup.id,
            workplaceId: kept?.workplaceId ?? setup.id,
            createdAt: kept?.createdAt ?? new Date(0).toISOString(),
          },
        ];
  return {
    ...whole,
    setups: [...setups, ...inUse],
    readings: [...whole.readings, ...run.localReadings.filter((reading) => !readings.has(reading.id))],
    marks: [...whole.marks, ...run.localMarks],
  };
}

/**
 * Reading of true TDC on the rising scale of the set-up in use, from its usable stop contacts.
 * @returns null while a side is missing, or where the contacts can't be right (the evaluation says why)
 */
export function tdcOfSetup(whole: MockUpWhole, stamps: readonly Stamp[], setupId: string): number | null {
  const setup = whole.setups.find((one) => one.id === setupId);
  if (setup === undefined) return null;
  const sides: Record<'forwards' | 'backwards', number[]> = { forwards: [], backwards: [] };
  for (const stamp of stamps) {
    const { subject } = stamp.current;
    if (!isUsable(stamp) || subject.what !== 'stop_contact') continue;
    const placed = placedAngle(subject.angle, whole.setups);
    if (placed === null || subject.angle.setupId !== setupId) continue;
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

/** Crank angle of a rotation, degrees forwards from true TDC in [0, 360). */
export function crankAngle(rotationDeg: number, forwards: 'clockwise' | 'anticlockwise', tdcDeg: number): number {
  return wrapTurn(risingFromRotation(rotationDeg, forwards, 360) - tdcDeg);
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
