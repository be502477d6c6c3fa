/** Runs a quantity of the catalogue on inputs as they were entered: checks, converts units, carries uncertainties. */
import { numbers, present, refuse } from '../checks.ts';
import { type Provenance, type ProvenanceInput, provenanceOf, type ReadingReference } from '../provenance.ts';
import { seededGenerator } from '../uncertainty/generator.ts';
import type { MonteCarloSettings } from '../uncertainty/monte-carlo.ts';
import { propagate, type UncertainInput } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import { convertDifference, convertUnit, type Dimension, dimensionsWithUnit, formulaUnit } from '../units.ts';
import type { InputSpec, OutputSpec, OutputValue, Quantity } from './describe.ts';

/** An input as it was entered or stored. */
export interface GivenInput {
  readonly value: unknown;
  /** The formula's own unit where absent. */
  readonly unit?: string | undefined;
  /** Standard uncertainty in the same unit; for a list, of each entry. */
  readonly sigma?: number | undefined;
  readonly degreesOfFreedom?: number | null | undefined;
  readonly readings?: readonly ReadingReference[] | undefined;
}
export type GivenInputs = Readonly<Record<string, GivenInput>>;

export interface EvaluatedOutput {
  readonly name: string;
  readonly title: string;
  readonly value: OutputValue;
  /** Unit of the formula; empty for words and yes/no. */
  readonly unit: string;
  readonly dimension: Dimension | null;
  readonly period: number | null;
  /** With its budget; null where no input carries an uncertainty. */
  readonly uncertain: Value | null;
  readonly provenance: Provenance;
}

export interface Evaluation {
  readonly quantity: Quantity;
  readonly outputs: readonly EvaluatedOutput[];
  /** Names of inputs that this quantity doesn't take. */
  readonly unusedInputs: readonly string[];
}

/** Seed and number of trials of simulations where the caller gives none; shown beside the result. */
export const defaultSimulation = { seed: 20_261_125, trials: 1_000_000 } as const;

/** Settings of a simulation that comes out the same each time. */
export function repeatableSimulation(
  seed: number = defaultSimulation.seed,
  trials: number = defaultSimulation.trials,
): MonteCarloSettings {
  return { generator: seededGenerator(seed), trials };
}

interface WorkingUnit {
  readonly unit: string;
  readonly dimension: Dimension;
}

/** Unit in which an input is handed to the formula. */
function workingUnitOf(spec: InputSpec<unknown> | OutputSpec, shared: WorkingUnit): WorkingUnit {
  const { dimension } = spec;
  return dimension === 'any' || dimension === null ? shared : { unit: formulaUnit(dimension), dimension };
}

/** The one unit of a quantity that works in any: that of its first input, except that angles are taken in degrees. */
function sharedUnit(quantity: Quantity, given: GivenInputs): WorkingUnit {
  const units = Object.values(quantity.inputs)
    .filter((spec) => spec.dimension === 'any')
    .flatMap((spec) => given[spec.name]?.unit ?? []);
  const [first] = units;
  if (first === undefined) return { unit: '1', dimension: 'ratio' };
  const common = dimensionsWithUnit(first).find((dimension) =>
    units.every((unit) => dimensionsWithUnit(unit).includes(dimension)),
  );
  if (common === undefined) {
    const allowed = `units of one kind, like ${first}`;
    refuse('inconsistent', 'unit', units.join(', '), allowed, 'give all of them in comparable units.');
  }
  return { unit: common === 'angle' ? formulaUnit(common) : first, dimension: common };
}

function isAbsent(given: GivenInput | undefined): boolean {
  return given?.value === undefined || given.value === null;
}

function listWithGaps(field: string, value: unknown): (number | null)[] {
  if (!Array.isArray(value)) refuse('missing', field, value, 'a list of numbers', 'enter one for each input.');
  return value.map((entry: unknown, index) => (entry === null ? null : present(`${field}[${index + 1}]`, entry)));
}

/** First pass: is everything there, and of the right kind? Units come later, so that a gap is named before a range. */
function received(field: string, spec: InputSpec<unknown>, given: GivenInput | undefined): unknown {
  if (isAbsent(given)) {
    if (!spec.isOptional) refuse('missing', field, given?.value, 'given', `enter ${spec.title.toLowerCase()} first.`);
    return undefined;
  }
  const value = given?.value;
  switch (spec.kind) {
    case 'number':
      return present(field, value);
    case 'numbers':
      return numbers(field, value);
    case 'numbers_or_null':
      return listWithGaps(field, value);
    case 'text':
      return typeof value === 'string' ? value : refuse('missing', field, value, 'a word', 'choose one.');
    case 'flag':
      return typeof value === 'boolean' ? value : refuse('missing', field, value, 'yes or no', 'choose one.');
  }
}

function converted(value: unknown, from: string | undefined, to: WorkingUnit): unknown {
  if (from === undefined) return value;
  if (typeof value === 'number') return convertUnit(value, from, to.unit, to.dimension);
  return Array.isArray(value) ? value.map((entry: unknown) => converted(entry, from, to)) : value;
}

/** A number among the inputs that carries an uncertainty, and where it stands. */
interface UncertainPlace extends UncertainInput {
  readonly field: string;
  readonly index: number | null;
}

function uncertainPlaces(
  quantity: Quantity,
  given: GivenInputs,
  values: Readonly<Record<string, unknown>>,
  shared: WorkingUnit,
): UncertainPlace[] {
  return Object.entries(quantity.inputs).flatMap(([field, spec]): UncertainPlace[] => {
    const { sigma, unit, degreesOfFreedom = null } = given[spec.name] ?? {};
    if (sigma === undefined || sigma === 0) return [];
    const working = workingUnitOf(spec, shared);
    const own = convertDifference(
      present(`${field} sigma`, sigma),
      unit ?? working.unit,
      working.unit,
      working.dimension,
    );
    const common = { field, sigma: own, degreesOfFreedom, route: 'propagated' as const };
    const value = values[field];
    if (typeof value === 'number') return [{ ...common, name: spec.title, value, index: null }];
    if (!Array.isArray(value)) return [];
    return value.flatMap((entry: unknown, index) =>
      typeof entry === 'number' ? [{ ...common, name: `${spec.title}, ${index + 1}`, value: entry, index }] : [],
    );
  });
}

function withMoved(
  values: Readonly<Record<string, unknown>>,
  places: readonly UncertainPlace[],
  moved: readonly number[],
): Record<string, unknown> {
  const result: Record<string, unknown> = { ...values };
  for (const [position, { field, index }] of places.entries()) {
    const before = result[field];
    result[field] =
      index === null || !Array.isArray(before)
        ? moved[position]
        : before.map((entry: unknown, at) => (at === index ? moved[position] : entry));
  }
  return result;
}

function provenanceInputs(quantity: Quantity, given: GivenInputs, shared: WorkingUnit): ProvenanceInput[] {
  return Object.values(quantity.inputs).flatMap((spec) => {
    const input = given[spec.name];
    if (input === undefined || isAbsent(input)) return [];
    return [
      {
        name: spec.name,
        title: spec.title,
        value: input.value,
        unit: spec.dimension === null ? '' : (input.unit ?? workingUnitOf(spec, shared).unit),
        sigma: input.sigma ?? null,
        readings: input.readings ?? [],
      },
    ];
  });
}

/**
 * Evaluates a quantity.
 * @param given by the quantity's input names; absent optional inputs take their defaults
 * @param simulation settings for quantities found by simulation; a fixed seed where absent
 * @throws missing where a required input is absent or no number, inconsistent for a unit of another kind, and whatever
 *   the formula refuses
 */
export function evaluate(
  quantity: Quantity,
  given: GivenInputs,
  simulation: () => MonteCarloSettings = repeatableSimulation,
): Evaluation {
  const entries = Object.entries(quantity.inputs);
  const raw = entries.map(([field, spec]) => received(field, spec, given[spec.name]));
  const shared = sharedUnit(quantity, given);
  const values: Record<string, unknown> = {};
  for (const [index, [field, spec]] of entries.entries()) {
    values[field] = converted(raw[index], given[spec.name]?.unit, workingUnitOf(spec, shared));
  }
  const results = quantity.run(values, simulation());
  const places = uncertainPlaces(quantity, given, values, shared);
  const inputs = provenanceInputs(quantity, given, shared);
  const remarks = quantity.validity === undefined ? [] : [`Stated for ${quantity.validity}.`];
  const known = new Set(entries.map(([, spec]) => spec.name));
  return {
    quantity,
    unusedInputs: Object.keys(given).filter((name) => !known.has(name)),
    outputs: Object.entries(quantity.outputs).flatMap(([name, spec]) => {
      const value = results[name];
      if (value === undefined) return [];
      const working = spec.dimension === null ? null : workingUnitOf(spec, shared);
      const period = spec.period ?? null;
      const uncertain =
        typeof value !== 'number' || places.length === 0
          ? null
          : propagate((moved) => quantity.run(withMoved(values, places, moved), simulation())[name] as number, places, {
              period: spec.period,
            });
      const unit = working?.unit ?? '';
      return [
        {
          name,
          title: spec.title,
          value,
          unit,
          dimension: working?.dimension ?? null,
          period,
          uncertain,
          provenance: provenanceOf(quantity, inputs, { value, unit }, uncertain, remarks),
        },
      ];
    }),
  };
}
