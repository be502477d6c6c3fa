import type { PlaceReadings } from '../../../core/mockup/check-readings.ts';
import { shownDay } from '../../parts/time-text.ts';
import type { Instrument } from '../../state/instruments.ts';

/** Names the instruments that were not calibrated for the day of a reading; null where there is nothing to say. */
export function calibrationNote(places: readonly PlaceReadings[], instruments: readonly Instrument[]): string | null {
  const names = new Set<string>();
  for (const stamp of places.flatMap(({ stamps }) => stamps)) {
    const { subject } = stamp.current;
    if (subject.what !== 'quantity' || stamp.struck) continue;
    const instrument = instruments.find(({ id }) => id === subject.instrumentId);
    if (instrument === undefined) continue;
    const day = shownDay(stamp.root.takenAt);
    const isLapsed = instrument.calibrationDueOn !== '' && instrument.calibrationDueOn < day;
    if (instrument.calibratedOn === '' || isLapsed) names.add(instrument.name);
  }
  return names.size === 0
    ? null
    : `${[...names].join(', ')}: not calibrated for the day of the reading, so a whole step either way goes into the uncertainty.`;
}
