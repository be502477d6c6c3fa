import { useMemo } from 'react';
import { checkResults } from '../../core/mockup/check-results.ts';
import { type SizesOfMockUp, sizesOf } from '../../core/mockup/sizes.ts';
import { useMockUpState } from './services.ts';
import { useMockUpResult } from './use-mock-up-result.ts';

/**
 * Sizes of the open mock-up for areas and plans.
 * @param speedRpm instead of the engine's own
 */
export function useSizes(speedRpm: number | null = null): SizesOfMockUp | null {
  const { whole } = useMockUpState();
  const result = useMockUpResult();
  return useMemo(
    () =>
      whole === null || result === null
        ? null
        : sizesOf(whole, result, checkResults(whole, { timing: result }).sizes, speedRpm),
    [whole, result, speedRpm],
  );
}
