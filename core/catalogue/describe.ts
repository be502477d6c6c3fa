/** Vocabulary of the catalogue: how a quantity, its inputs and its outputs are described. */
import type { FormulaDescription } from '../provenance.ts';
import type { MonteCarloSettings } from '../uncertainty/monte-carlo.ts';
import type { Dimension } from '../units.ts';

/** `any`: the quantity works in whatever unit its inputs have, all of them alike. */
export type InputDimension = Dimension | 'any';
export type InputKind = 'number' | 'numbers' | 'numbers_or_null' | 'text' | 'flag';

/** Describes one input; the type argument is what the formula receives. */
export interface InputSpec<T> {
  readonly name: string;
  readonly title: string;
  readonly kind: InputKind;
  /** Null for text and flags. */
  readonly dimension: InputDimension | null;
  readonly isOptional: boolean;
  /** Never set; carries the type. */
  readonly received?: T;
}

export const number = (name: string, title: string, dimension: InputDimension): InputSpec<number> => ({
  name,
  title,
  kind: 'number',
  dimension,
  isOptional: false,
});

export const optionalNumber = (
  name: string,
  title: string,
  dimension: InputDimension,
): InputSpec<number | undefined> => ({ name, title, kind: 'number', dimension, isOptional: true });

export const numberList = (name: string, title: string, dimension: InputDimension): InputSpec<readonly number[]> => ({
  name,
  title,
  kind: 'numbers',
  dimension,
  isOptional: false,
});

export const optionalListWithGaps = (
  name: string,
  title: string,
): InputSpec<readonly (number | null)[] | undefined> => ({
  name,
  title,
  kind: 'numbers_or_null',
  dimension: 'ratio',
  isOptional: true,
});

export const text = (name: string, title: string): InputSpec<string> => ({
  name,
  title,
  kind: 'text',
  dimension: null,
  isOptional: false,
});

export const optionalFlag = (name: string, title: string): InputSpec<boolean | undefined> => ({
  name,
  title,
  kind: 'flag',
  dimension: null,
  isOptional: true,
});

export interface OutputSpec {
  readonly title: string;
  /** Null for words and yes/no. */
  readonly dimension: InputDimension | null;
  /** Period in degrees of an angle that wraps. */
  readonly period?: number;
  /** Absent in some results, for instance a direction where there is no tilt. */
  readonly isOptional?: boolean;
}

export type OutputValue = number | string | boolean;
type InputSpecs = Readonly<Record<string, InputSpec<unknown>>>;
type Received<S extends InputSpecs> = { readonly [K in keyof S]: S[K] extends InputSpec<infer T> ? T : never };

export const subjects = [
  'crank',
  'ports',
  'area',
  'squish',
  'volumes',
  'ignition',
  'fits',
  'planner',
  'uncertainty',
  'rules_of_thumb',
] as const;
export type Subject = (typeof subjects)[number];

/** A quantity of the catalogue, ready to be shown, entered and evaluated. */
export interface Quantity extends FormulaDescription {
  readonly id: string;
  readonly subject: Subject;
  /** Range in which a rule of thumb was stated, in words. */
  readonly validity?: string;
  readonly inputs: InputSpecs;
  readonly outputs: Readonly<Record<string, OutputSpec>>;
  /** Runs the formula on numbers in formula units, keyed like `inputs`. */
  readonly run: (
    received: Readonly<Record<string, unknown>>,
    monteCarlo: MonteCarloSettings,
  ) => Readonly<Record<string, OutputValue | undefined>>;
}

interface QuantityDefinition<S extends InputSpecs, O extends Readonly<Record<string, OutputSpec>>>
  extends FormulaDescription {
  readonly id: string;
  readonly subject: Subject;
  readonly validity?: string;
  readonly inputs: S;
  readonly outputs: O;
  readonly run: (
    received: Received<S>,
    monteCarlo: MonteCarloSettings,
  ) => { readonly [K in keyof O]: OutputValue | undefined };
}

/** Describes a quantity; the compiler checks that its formula gets what it describes and gives what it promises. */
export function quantity<S extends InputSpecs, const O extends Readonly<Record<string, OutputSpec>>>(
  definition: QuantityDefinition<S, O>,
): Quantity {
  const { run, ...description } = definition;
  return {
    ...description,
    // The evaluator fills exactly the described inputs, each checked against its kind, so the record has this type.
    run: (received, monteCarlo) => run(received as Received<S>, monteCarlo),
  };
}

/** A crank's sizes: given wherever a quantity depends on the crank. */
export const crankInputs = {
  strokeMm: number('stroke', 'Stroke', 'length'),
  rodLengthMm: number('rod', 'Rod length, centre to centre', 'length'),
  offsetMm: optionalNumber('offset', 'Offset of the pin path, positive on the swing side', 'length'),
};

export const boreInput = { boreMm: number('bore', 'Bore', 'length') };
export const speedInput = { speedRpm: number('speed', 'Speed', 'rotation') };

export const derived = { nature: 'derived', source: 'derived from the definitions' } as const;
export const sliderCrank = {
  nature: 'derived',
  source: 'slider-crank with offset; Heywood, Internal Combustion Engine Fundamentals (1988), 2.2, without offset',
} as const;
