import { present } from '../checks.ts';
import { borderSlack } from '../units.ts';

/** Range in which a rule was stated. */
export interface Validity {
  readonly quantity: string;
  readonly unit: string;
  readonly lower: number;
  readonly upper: number;
}

/** What a rule of thumb says for an engine: advice beside the number, never a limit. */
export interface Advice {
  readonly ruleId: string;
  readonly title: string;
  readonly lower: number;
  readonly upper: number;
  readonly unit: string;
  readonly source: string;
  readonly isWithinValidity: boolean;
  /** One sentence for screen and paper; says so where the engine lies outside the rule's range. */
  readonly statement: string;
}

/** Stands beside every figure of this folder. */
export const adviceCaution =
  "A rule of thumb, shown for comparison: the maker's manual and a qualified engine builder decide.";

export function isWithin(validity: Validity, value: number): boolean {
  return present(validity.quantity, value) >= validity.lower - borderSlack && value <= validity.upper + borderSlack;
}

/** Sentence about the rule's range. */
export function validityStatement(validity: Validity, value: number): string {
  const range = `${validity.lower} to ${validity.upper} ${validity.unit}`;
  return isWithin(validity, value)
    ? `Stated for ${validity.quantity} of ${range}.`
    : `Outside its range: stated for ${validity.quantity} of ${range}, here ${Number(value.toPrecision(6))} ${validity.unit}.`;
}
