/** Where a number comes from: the data behind the panel of that name on every screen and sheet. */
import {
  type Contribution,
  coverageFactor,
  needsMoreReadings,
  type UncertaintyRoute,
  type Value,
} from './uncertainty/value.ts';

/** Physics and measurement, or advice passed on in the trade. */
export type Nature = 'derived' | 'textbook' | 'standard' | 'rule_of_thumb';

/** A reading behind a number: its id in the book and how it was written. */
export interface ReadingReference {
  readonly id: string;
  readonly shown: string;
}

/** One input of the formula, with what it was read from. */
export interface ProvenanceInput {
  readonly name: string;
  readonly title: string;
  readonly value: unknown;
  readonly unit: string;
  /** Standard uncertainty; null where none is known or it doesn't apply. */
  readonly sigma: number | null;
  readonly readings: readonly ReadingReference[];
}

/** A term of the budget with its part of the variance. */
export interface SharedContribution extends Contribution {
  /** Part of the variance, 0 to 1; 0 for all where the result counts as exact. */
  readonly share: number;
}

export interface Provenance {
  readonly title: string;
  readonly formula: string;
  readonly source: string;
  readonly nature: Nature;
  readonly inputs: readonly ProvenanceInput[];
  readonly result: { readonly value: number | string | boolean; readonly unit: string };
  /** Absent where the inputs carry no uncertainty. */
  readonly uncertainty?: {
    readonly sigma: number;
    /** U = k u. */
    readonly expanded: number;
    readonly coverage: number;
    readonly degreesOfFreedom: number | null;
    readonly routes: readonly UncertaintyRoute[];
    readonly contributions: readonly SharedContribution[];
  };
  /** Sentences to be shown with the number: outside a rule's range, too few readings, ... */
  readonly remarks: readonly string[];
}

/** Largest terms first, each with its part of the variance. */
export function sharesOf(contributions: readonly Contribution[]): SharedContribution[] {
  const total = contributions.reduce((sum, { effect }) => sum + effect ** 2, 0);
  return contributions
    .map((term) => ({ ...term, share: total === 0 ? 0 : term.effect ** 2 / total }))
    .toSorted((a, b) => b.share - a.share);
}

/** Sentence shown where k = 2 covers less than 95 %; null where it does. */
export function fewReadingsRemark(degreesOfFreedom: number | null): string | null {
  return needsMoreReadings(degreesOfFreedom)
    ? `Only ${Number((degreesOfFreedom as number).toPrecision(2))} effective degrees of freedom: k = 2 covers less than 95 %; take more readings.`
    : null;
}

/** What a formula is called, how it reads and who vouches for it. */
export interface FormulaDescription {
  readonly title: string;
  readonly formula: string;
  readonly source: string;
  readonly nature: Nature;
}

/** Puts the provenance of one result together. */
export function provenanceOf(
  description: FormulaDescription,
  inputs: readonly ProvenanceInput[],
  result: { value: number | string | boolean; unit: string },
  uncertain: Value | null = null,
  remarks: readonly string[] = [],
): Provenance {
  const { title, formula, source, nature } = description;
  const base = { title, formula, source, nature, inputs, result };
  if (uncertain === null || uncertain.sigma === 0) return { ...base, remarks };
  const few = fewReadingsRemark(uncertain.degreesOfFreedom);
  const contributing = uncertain.contributions.filter(({ effect }) => effect !== 0);
  return {
    ...base,
    uncertainty: {
      sigma: uncertain.sigma,
      expanded: coverageFactor * uncertain.sigma,
      coverage: coverageFactor,
      degreesOfFreedom: uncertain.degreesOfFreedom,
      routes: [...new Set(contributing.map(({ route }) => route))],
      contributions: sharesOf(contributing),
    },
    remarks: few === null ? remarks : [...remarks, few],
  };
}

/** Names of the routes for screen and paper. */
export const routeWords: Readonly<Record<UncertaintyRoute, string>> = {
  repeats: 'from repeats',
  hysteresis: 'from the difference of the directions',
  resolution: "from the scale's step",
  instrument: "from the instrument's own uncertainty",
  propagated: 'carried over from its inputs',
  monte_carlo: 'by simulation',
};
