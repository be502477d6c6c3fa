import { useMemo } from 'react';
import { type SizesOfMockUp, sizesOf } from '../../core/mockup/sizes.ts';
import { useCheckResults } from './use-check-results.ts';

/**
 * Sizes of the open mock-up for areas and plans.
 * @param speedRpm instead of the engine's own
 */
export function useSizes(speedRpm: number | null = null): SizesOfMockUp | null {
  const checks = useCheckResults();
  return useMemo(
    () => (checks === null ? null : sizesOf(checks.whole, checks.results.timing, checks.results.sizes, speedRpm)),
    [checks, speedRpm],
  );
}
