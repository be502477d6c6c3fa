import type { Specification } from '../contract/parts.ts';
import { InputError } from '../errors.ts';
import { conformity, readingsToDecide, type Verdict } from '../uncertainty/conformity.ts';
import { coverageFactor } from '../uncertainty/value.ts';

/** A verdict, or why there is none. */
export type JudgedKind = Verdict | 'no_limits' | 'not_measured';

/** Limits of a quantity and how it stands against them. */
export interface Judged {
  readonly specification: Specification | null;
  readonly verdict: JudgedKind;
  /** What would help where nothing can be decided; else empty. */
  readonly note: string;
}

export interface MeasuredForJudging {
  readonly value: number;
  /** Standard uncertainty of the value. */
  readonly sigma: number;
  /** Scatter of one reading, and how many readings stand behind the value; null where repeats don't apply. */
  readonly repeats: { readonly scatter: number; readonly taken: number } | null;
}

/**
 * Holds a value against its limits.
 * @param measured null where nothing was measured yet
 */
export function judged(specification: Specification | null, measured: MeasuredForJudging | null): Judged {
  const hasLimits = specification !== null && (specification.lower !== null || specification.upper !== null);
  if (!hasLimits) return { specification, verdict: measured === null ? 'not_measured' : 'no_limits', note: '' };
  if (measured === null) return { specification, verdict: 'not_measured', note: '' };
  const { lower, upper } = specification;
  try {
    const { decision, canEverConform } = conformity({
      value: measured.value,
      expanded: coverageFactor * measured.sigma,
      lower,
      upper,
    });
    if (decision !== 'cannot_be_decided') return { specification, verdict: decision, note: '' };
    return { specification, verdict: decision, note: whatWouldDecide(specification, measured, canEverConform) };
  } catch (error) {
    // Reversed limits were typed: the sentence belongs beside them, the rest of the mock-up still counts.
    if (error instanceof InputError) return { specification, verdict: 'cannot_be_decided', note: error.message };
    throw error;
  }
}

function whatWouldDecide(specification: Specification, measured: MeasuredForJudging, canEverConform: boolean): string {
  const { value, sigma, repeats } = measured;
  if (repeats !== null && repeats.scatter > 0) {
    const floor = Math.sqrt(Math.max(0, sigma ** 2 - repeats.scatter ** 2 / repeats.taken));
    const { lower, upper } = specification;
    const total = readingsToDecide({ value, scatter: repeats.scatter, floor, taken: repeats.taken, lower, upper });
    if (total !== null && total > repeats.taken) {
      const more = Math.ceil(total - repeats.taken);
      return `about ${more} more ${more === 1 ? 'reading' : 'readings'} would decide`;
    }
  }
  return canEverConform ? 'no number of readings would decide' : 'the limits are narrower than the uncertainty';
}
