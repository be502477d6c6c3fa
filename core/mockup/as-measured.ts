/** Entries of a mock-up that may have been measured since: what was read counts before what was entered. */
import type { MockUpWhole } from '../contract/messages.ts';
import { meanValue } from '../uncertainty/linear.ts';
import type { Mm } from '../units.ts';
import { CheckReadings } from './check-readings.ts';
import { joinStamps } from './stamps.ts';

export interface AsMeasured {
  readonly roomTemperatureC: number | null;
  /** Crushed thickness of the base gasket. */
  readonly baseGasketMm: Mm | null;
}

/** Room temperature and base gasket as read, else as entered with the mock-up; null where neither is known. */
export function asMeasured(whole: MockUpWhole): AsMeasured {
  const { mockUp, readings, marks } = whole;
  const read = new CheckReadings(joinStamps(readings, marks), [], []);
  const gaskets = read.values('base_gasket_crushed');
  return {
    roomTemperatureC: read.value('room_temperature')?.value ?? mockUp.roomTemperatureC,
    baseGasketMm: gaskets.length === 0 ? mockUp.baseGasketMm : meanValue(gaskets).value,
  };
}
