import { useMemo } from 'react';
import { timingResult } from '../../core/mockup/timing-result.ts';
import { budgetDefaults } from '../../core/uncertainty/event-budget.ts';
import type { MockUpResult } from './mock-up-result.ts';
import { useMockUpState, usePreferences } from './services.ts';

/** Core's evaluation of the open mock-up, worked out again whenever a reading or an assumption changes. */
export function useMockUpResult(): MockUpResult | null {
  const { whole } = useMockUpState();
  const { placementDeg, slackDeg } = usePreferences();
  return useMemo(
    () =>
      whole === null ? null : timingResult(whole, { ...budgetDefaults, placementPriorDeg: placementDeg, slackDeg }),
    [whole, placementDeg, slackDeg],
  );
}
