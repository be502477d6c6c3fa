import type { WheelSetup } from '../contract/readings.ts';
import { frameIdOf, frameOf } from './edge-readings.ts';
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
        ? [{ id: root.id, frameId: frameIdOf(subject.angle, setups) }]
        : [],
    ),
  );
  if (typed !== null && typed.id > begunAs(setup, setups).id) return typed.frameId;
  return frameOf(setup, setups).frameId;
}

/** A place that was begun for a moved wheel, and taken back, is the one before it; so nothing was set up at that time. */
function begunAs(setup: WheelSetup, setups: readonly WheelSetup[]): WheelSetup {
  const before = setups.find(({ id }) => id === setup.continuesSetupId && id < setup.id);
  return before === undefined || setup.continuesAtDeg !== 0 ? setup : begunAs(before, setups);
}

function latest<T extends { readonly id: string }>(rows: readonly T[]): T | null {
  return rows.reduce<T | null>((last, row) => (last === null || row.id > last.id ? row : last), null);
}
