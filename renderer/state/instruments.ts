import { v7 as uuidv7 } from 'uuid';
import { z } from 'zod';
import type { CheckInstrument } from '../../core/mockup/check-readings.ts';
import type { HandInstrument } from '../../core/mockup/step-shape.ts';
import { mmPerInch } from '../../core/units.ts';

/** A measuring instrument: its resolution feeds the uncertainty of every reading taken with it. */
export const instrumentSchema = z.object({
  id: z.uuidv7(),
  name: z.string().max(100),
  kind: z.enum([
    'feeler_gauges',
    'micrometer',
    'bore_gauge',
    'caliper',
    'depth_gauge',
    'dial_gauge',
    'height_gauge',
    'burette',
    'degree_wheel',
    'other',
  ]),
  /** Smallest step that is read, in the unit. */
  resolution: z.number().positive(),
  unit: z.enum(['mm', 'in', 'thou', 'deg', 'cm3']),
  serialNumber: z.string().max(100),
  /** Day as typed by the date field: `2026-03-14`, or empty. */
  calibratedOn: z.string().max(20),
  calibrationDueOn: z.string().max(20),
  /** Expanded uncertainty (k = 2) that its certificate states, in the unit; null where there is none. */
  calibrationExpanded: z.number().min(0).nullable().default(null),
  note: z.string().max(500),
});
export type Instrument = z.infer<typeof instrumentSchema>;
export type InstrumentKind = Instrument['kind'];

export const instrumentsPreferenceKey = 'instruments';

export const instrumentKindTitles: Readonly<Record<InstrumentKind, string>> = {
  feeler_gauges: 'Feeler gauges',
  micrometer: 'Micrometer',
  bore_gauge: 'Bore gauge',
  caliper: 'Caliper',
  depth_gauge: 'Depth gauge',
  dial_gauge: 'Dial gauge',
  height_gauge: 'Height gauge',
  burette: 'Burette',
  degree_wheel: 'Degree wheel, read by eye',
  other: 'Other',
};

/** Steps that such instruments usually have; only where a new one starts from. */
const usual: Readonly<Record<InstrumentKind, { resolution: number; unit: Instrument['unit'] }>> = {
  feeler_gauges: { resolution: 0.05, unit: 'mm' },
  micrometer: { resolution: 0.01, unit: 'mm' },
  bore_gauge: { resolution: 0.01, unit: 'mm' },
  caliper: { resolution: 0.05, unit: 'mm' },
  depth_gauge: { resolution: 0.02, unit: 'mm' },
  dial_gauge: { resolution: 0.01, unit: 'mm' },
  height_gauge: { resolution: 0.02, unit: 'mm' },
  burette: { resolution: 0.1, unit: 'cm3' },
  degree_wheel: { resolution: 0.5, unit: 'deg' },
  other: { resolution: 0.1, unit: 'mm' },
};

export function newInstrument(kind: InstrumentKind): Instrument {
  return {
    id: uuidv7(),
    name: instrumentKindTitles[kind],
    kind,
    ...usual[kind],
    serialNumber: '',
    calibratedOn: '',
    calibrationDueOn: '',
    calibrationExpanded: null,
    note: '',
  };
}

/** Takes the kept list; entries of an unknown shape are left out and counted, never half understood. */
export function instrumentsFrom(kept: unknown): { readonly list: readonly Instrument[]; readonly leftOut: number } {
  if (!Array.isArray(kept)) return { list: [], leftOut: 0 };
  const parsed = kept.map((one: unknown) => instrumentSchema.safeParse(one));
  const list = parsed.flatMap((one) => (one.success ? [one.data] : []));
  return { list, leftOut: parsed.length - list.length };
}

/** @param today day as `2026-11-25` */
export function isCalibrationOverdue(instrument: Instrument, today: string): boolean {
  return instrument.calibrationDueOn !== '' && instrument.calibrationDueOn < today;
}

/** Size of an instrument's unit in the unit that readings are stored in. */
const unitSizes: Readonly<Record<Instrument['unit'], number>> = {
  mm: 1,
  in: mmPerInch,
  thou: mmPerInch / 1000,
  deg: 1,
  cm3: 1,
};

/** Smallest step in mm, deg or cm3. */
export function stepOfInstrument({ resolution, unit }: Instrument): number {
  return resolution * unitSizes[unit];
}

/** The list as the uncertainties of the checks take it. */
export function checkInstruments(list: readonly Instrument[]): CheckInstrument[] {
  return list.map((instrument) => ({
    id: instrument.id,
    name: instrument.name,
    resolution: stepOfInstrument(instrument),
    calibrationExpanded:
      instrument.calibrationExpanded === null ? null : instrument.calibrationExpanded * unitSizes[instrument.unit],
    checkedUntil:
      instrument.calibratedOn === ''
        ? 'never'
        : instrument.calibrationDueOn === ''
          ? 'always'
          : instrument.calibrationDueOn,
  }));
}

/** Instruments that fit a reading: of a kind that it is taken with, in a unit that it can have. */
export function instrumentsFor(
  list: readonly Instrument[],
  kinds: readonly HandInstrument[],
  unit: string,
): readonly Instrument[] {
  const fits = (instrument: Instrument) =>
    unit === 'mm' ? ['mm', 'in', 'thou'].includes(instrument.unit) : instrument.unit === unit;
  return list.filter(
    (instrument) => fits(instrument) && (kinds.includes(instrument.kind) || instrument.kind === 'other'),
  );
}
