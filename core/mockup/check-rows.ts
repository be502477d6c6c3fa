/** One row of the checks: a result with its uncertainty, its limits and verdict, and what stands behind it. */
import type { MockUpWhole } from '../contract/messages.ts';
import type { Specification } from '../contract/parts.ts';
import { InputError } from '../errors.ts';
import type { Advice } from '../rules-of-thumb/rule.ts';
import type { UncertainInput } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import type { CheckReadings, PlaceReadings } from './check-readings.ts';
import { judged } from './judge.ts';
import type { Stamp } from './stamps.ts';
import type { StepId } from './step-shape.ts';
import { placeTitle } from './steps.ts';
import type { FigureRow } from './timing-figures.ts';
import type { TimingResult } from './timing-result.ts';

/** A row like those of the timing, so that tables, Compare and sheets show both alike. */
export interface CheckRow extends FigureRow {
  readonly stepId: StepId;
  /** Quantity under which its limits are kept: places of one quantity share theirs. */
  readonly limitsKey: string;
  /** Decimals that its unit deserves. */
  readonly decimals: number;
  /** Readings that it rests on, oldest first; those that don't count are among them and say so. */
  readonly stamps: readonly Stamp[];
  /** What the trade or single makers say, beside the number and never a limit. */
  readonly advice: readonly Advice[];
  /** A sentence on what the number rests on or leaves out; empty where there is nothing to say. */
  readonly remark: string;
}

/** What rows are worked out from. */
export interface CheckContext {
  readonly whole: MockUpWhole;
  readonly timing: TimingResult;
  readonly readings: CheckReadings;
  readonly specifications: ReadonlyMap<string, Specification>;
  /** Gets a sentence for whatever needs the builder's attention, with the step whose card can answer it. */
  readonly ask: (stepId: StepId, sentence: string) => void;
}

interface RowInput {
  readonly stepId: StepId;
  readonly key: string;
  readonly title: string;
  readonly value: Value | null;
  readonly how: string;
  readonly unit?: string;
  readonly source?: string;
  readonly limitsKey?: string;
  readonly decimals?: number;
  readonly repeats?: { readonly scatter: number; readonly taken: number } | null;
  readonly from?: readonly PlaceReadings[];
  readonly advice?: readonly Advice[];
  readonly remark?: string;
}

const decimalsOf: Readonly<Record<string, number>> = { mm: 3, deg: 1, cm3: 2, '1': 2, '°C': 1, N·m: 1 };

export function checkRow(context: CheckContext, input: RowInput): CheckRow {
  const unit = input.unit ?? 'mm';
  const limitsKey = input.limitsKey ?? input.key;
  const { value } = input;
  return {
    key: input.key,
    limitsKey,
    stepId: input.stepId,
    title: input.title,
    unit,
    decimals: input.decimals ?? decimalsOf[unit] ?? 2,
    value,
    how: input.how,
    source: input.source ?? 'definition; JCGM 100:2008 (GUM) for the uncertainty',
    judged: judged(
      context.specifications.get(input.key) ?? context.specifications.get(limitsKey) ?? null,
      value === null ? null : { value: value.value, sigma: value.sigma, repeats: input.repeats ?? null },
    ),
    stamps: (input.from ?? []).flatMap(({ stamps }) => stamps),
    advice: input.advice ?? [],
    remark: input.remark ?? '',
  };
}

/** Rows that show a quantity as it was read, one a place. */
export function directRows(
  context: CheckContext,
  stepId: StepId,
  quantityId: string,
  more: Pick<RowInput, 'advice' | 'remark'> = {},
): CheckRow[] {
  return context.readings.places(quantityId).map((place) => {
    const { quantity, position } = place;
    return checkRow(context, {
      stepId,
      key: position.id === '' ? quantityId : `${quantityId}:${position.id}`,
      limitsKey: quantityId,
      title: placeTitle(quantity, position),
      unit: quantity.unit,
      value: place.value,
      how: 'Mean of the readings that count.',
      repeats: place.scatter === null ? null : { scatter: place.scatter, taken: place.usable.length },
      from: [place],
      ...more,
    });
  });
}

/** A result of core's formulas; where they refuse, their sentence becomes a question and the result stays open. */
export function attempted(context: CheckContext, stepId: StepId, title: string, work: () => Value): Value | null {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    context.ask(stepId, `${title}: ${error.message}`);
    return null;
  }
}

export const largestOf = (values: readonly Value[]): Value | null =>
  values.reduce<Value | null>((best, one) => (best === null || one.value > best.value ? one : best), null);

export const smallestOf = (values: readonly Value[]): Value | null =>
  values.reduce<Value | null>((best, one) => (best === null || one.value < best.value ? one : best), null);

/** A measured value as an input of a formula. */
export const uncertainInput = (name: string, value: Value): UncertainInput => ({ name, ...value, route: 'propagated' });
