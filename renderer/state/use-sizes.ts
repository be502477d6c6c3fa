import { useMemo } from 'react';
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
    () => (whole === null || result === null ? null : sizesOf(whole, result, undefined, speedRpm)),
    [whole, result, speedRpm],
  );
}
