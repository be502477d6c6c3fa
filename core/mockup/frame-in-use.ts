import type { WheelSetup } from '../contract/readings.ts';
import { frameOf } from './edge-readings.ts';
import type { Stamp } from './stamps.ts';

/**
 * The frame that readings are taken in now: that of the latest set-up by camera, or of a stop contact that was typed
 * since, where the operator went over to typing. Without a camera it is the latest wheel setting.
 * Ids are made in the order of time.
 * @returns null while nothing was set up
 */
export function frameInUse(setups: readonly WheelSetup[], stamps: readonly Stamp[]): string | null {
  const byCamera = latest(setups.filter(({ by }) => by === 'camera'));
  const setup = byCamera ?? latest(setups);
  if (setup === null) return null;
  const typed = latest(
    stamps.flatMap(({ root, struck, current: { subject } }) =>
      !struck && subject.what === 'stop_contact' && subject.angle.by === 'typed'
        ? [{ id: root.id, frameId: subject.angle.setupId }]
        : [],
    ),
  );
  if (typed !== null && typed.id > setup.id) return typed.frameId;
  return frameOf(setup, setups).frameId;
}

function latest<T extends { readonly id: string }>(rows: readonly T[]): T | null {
  return rows.reduce<T | null>((last, row) => (last === null || row.id > last.id ? row : last), null);
}
