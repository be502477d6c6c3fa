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

/** Limits with their unit where it is a length: they are kept in mm whatever lengths are shown in. */
export function limitsWithUnit(specification: Specification | null): string | null {
  const limits = limitsText(specification);
  return limits !== null && specification?.unit === 'mm' ? `${limits} mm` : limits;
}
