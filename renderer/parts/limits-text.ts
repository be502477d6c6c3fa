import type { Specification } from '../../core/contract/parts.ts';

/** Limits as one reads them: "174 to 178", "at most 26", "176 (no limits)". */
export function limitsText(specification: Specification | null): string | null {
  if (specification === null) return null;
  const { lower, upper, nominal } = specification;
  const limits =
    lower !== null && upper !== null
      ? `${lower} to ${upper}`
      : lower !== null
        ? `at least ${lower}`
        : upper !== null
          ? `at most ${upper}`
          : null;
  if (limits === null) return nominal === null ? null : `${nominal} (no limits)`;
  return nominal === null ? limits : `${nominal} (${limits})`;
}
