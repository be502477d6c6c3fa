import type { AngleReading, WheelSetup } from '../contract/readings.ts';
import { risingFromRotation } from '../crank/dead-centre.ts';
import { type AngleRead, typedReaderSigma } from '../uncertainty/event-budget.ts';
import { type Deg, wrapTurn } from '../units.ts';

/** An angle reading on the scale of one place of camera and wheel, rising forwards. */
export interface PlacedAngle {
  /** First set-up of a chain of set-ups that carry each other on: angles of one frame compare with each other. */
  readonly frameId: string;
  readonly read: AngleRead;
}

/**
 * Brings a stored reading on to the rising scale of its frame.
 * @param setups all set-ups of the mock-up
 * @returns null where the way round forwards was never confirmed, or the set-up is missing
 */
export function placedAngle(angle: AngleReading, setups: readonly WheelSetup[]): PlacedAngle | null {
  if (angle.by === 'typed') {
    const read = {
      angleDeg: angle.wheelReadingDeg,
      readerSigmaDeg: typedReaderSigma(angle.resolutionDeg, angle.instrumentSigmaDeg),
      reader: 'typed' as const,
    };
    return { frameId: typedFrameId(angle.setupId, setups), read };
  }
  const setup = setups.find((one) => one.id === angle.setupId);
  if (setup === undefined || setup.forwards === null) return null;
  const { frameId, offsetDeg } = frameOf(setup, setups);
  const angleDeg = risingFromRotation(angle.rotationDeg + offsetDeg, setup.forwards, angle.modulusDeg);
  return { frameId, read: { angleDeg, readerSigmaDeg: angle.sigmaDeg, reader: 'camera' } };
}

/**
 * The rotation that a stored camera reading would have from the reference of another set-up of the same frame.
 * @param setup the set-up whose reference counts
 * @param setups all set-ups of the mock-up
 * @returns degrees clockwise in [0, modulus of the reading); null for a typed reading and for one of another frame
 */
export function rotationFromReference(
  angle: AngleReading,
  setup: WheelSetup,
  setups: readonly WheelSetup[],
): Deg | null {
  if (angle.by === 'typed') return null;
  const readWith = setups.find((one) => one.id === angle.setupId);
  if (readWith === undefined) return null;
  const there = frameOf(readWith, setups);
  const here = frameOf(setup, setups);
  if (there.frameId !== here.frameId) return null;
  return wrapTurn(angle.rotationDeg + there.offsetDeg - here.offsetDeg, angle.modulusDeg);
}

/** The frame that a stored angle belongs to; null where its set-up is missing. */
export function frameIdOf(angle: AngleReading, setups: readonly WheelSetup[]): string | null {
  if (angle.by === 'typed') return typedFrameId(angle.setupId, setups);
  const setup = setups.find((one) => one.id === angle.setupId);
  return setup === undefined ? null : frameOf(setup, setups).frameId;
}

/** Settings of a wheel that is read by eye carry each other on without a turn between them: the wheel stayed where it was. */
function typedFrameId(setupId: string, setups: readonly WheelSetup[]): string {
  const setup = setups.find((one) => one.id === setupId);
  return setup === undefined ? setupId : frameOf(setup, setups).frameId;
}

/**
 * The first set-up that this one carries on, and the angle between the two references: a crank that stands at a
 * rotation from the reference of this set-up stands at that rotation plus the offset from the reference of the first.
 */
export function frameOf(setup: WheelSetup, setups: readonly WheelSetup[]): { frameId: string; offsetDeg: Deg } {
  let current = setup;
  let offsetDeg = 0;
  const seen = new Set([setup.id]);
  while (current.continuesSetupId !== null && current.continuesAtDeg !== null) {
    const before = setups.find((one) => one.id === current.continuesSetupId);
    // A ring can only come from a damaged book; the walk must still end.
    if (before === undefined || seen.has(before.id)) break;
    seen.add(before.id);
    offsetDeg += current.continuesAtDeg;
    current = before;
  }
  return { frameId: current.id, offsetDeg };
}
