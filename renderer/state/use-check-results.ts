import { useEffect, useMemo, useState } from 'react';
import { useStore } from 'zustand';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import { type CheckResults, checkResults } from '../../core/mockup/check-results.ts';
import { budgetDefaults } from '../../core/uncertainty/event-budget.ts';
import { type CheckSession, checkSession } from './check-session.ts';
import { checkInstruments, type Instrument, instrumentsFrom, instrumentsPreferenceKey } from './instruments.ts';
import { withLocal } from './local-rows.ts';
import { useClient, useMockUpState, useMockUpStore, usePreferences } from './services.ts';

export function useCheckSession(): CheckSession {
  return checkSession(useClient(), useMockUpStore());
}

/** The instrument list; empty until it is read, and where it can't be: readings are then kept without one. */
export function useInstruments(): readonly Instrument[] {
  const client = useClient();
  const [list, setList] = useState<readonly Instrument[]>([]);
  useEffect(() => {
    let isWanted = true;
    client
      .call('preferences.get', {})
      .then((all) => {
        if (isWanted) setList(instrumentsFrom(all[instrumentsPreferenceKey]).list);
      })
      .catch(() => undefined);
    return () => {
      isWanted = false;
    };
  }, [client]);
  return list;
}

export interface ShownChecks {
  /** The mock-up with what is still on its way to the database. */
  readonly whole: MockUpWhole;
  readonly results: CheckResults;
  readonly instruments: readonly Instrument[];
}

/** Core's evaluation of the open mock-up's checks; null while it is being read. */
export function useCheckResults(): ShownChecks | null {
  const session = useCheckSession();
  const { whole: stored } = useMockUpState();
  const { localReadings, localMarks } = useStore(session.store);
  const instruments = useInstruments();
  const { placementDeg, slackDeg } = usePreferences();
  return useMemo(() => {
    if (stored === null) return null;
    const whole = withLocal(stored, { localReadings, localMarks });
    const results = checkResults(whole, {
      instruments: checkInstruments(instruments),
      defaults: { ...budgetDefaults, placementPriorDeg: placementDeg, slackDeg },
    });
    return { whole, results, instruments };
  }, [stored, localReadings, localMarks, instruments, placementDeg, slackDeg]);
}
