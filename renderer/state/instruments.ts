import { v7 as uuidv7 } from 'uuid';
import { z } from 'zod';

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
