import { useCallback, useEffect, useMemo, useState } from 'react';
import type { MockUpWhole, OutputOf } from '../../core/contract/messages.ts';
import { type ComparedMockUp, comparedMockUp } from '../../core/mockup/compare.ts';
import { budgetDefaults } from '../../core/uncertainty/event-budget.ts';
import { checkInstruments } from './instruments.ts';
import { sentenceOf } from './sentence-of.ts';
import { useClient, usePreferences } from './services.ts';
import { useInstruments } from './use-check-results.ts';

/** As many as fit side by side and stay readable. */
export const mostCompared = 8;

export interface Compared {
  /** Null while they are being read; shorter than asked for where one is gone. */
  readonly mockUps: readonly ComparedMockUp[] | null;
  readonly all: OutputOf<'mockUp.list'>;
  readonly failure: string | null;
  /** Reads them again, after limits or notes were kept. */
  readonly reload: () => Promise<void>;
}

/** The mock-ups of the book, and those chosen with everything that is worked out from them, in the order asked for. */
export function useCompared(ids: readonly string[]): Compared {
  const client = useClient();
  const instruments = useInstruments();
  const { placementDeg, slackDeg } = usePreferences();
  const [all, setAll] = useState<OutputOf<'mockUp.list'>>([]);
  const [wholes, setWholes] = useState<readonly MockUpWhole[] | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const wanted = ids.slice(0, mostCompared).join(',');
  const reload = useCallback(async () => {
    const list = await client.call('mockUp.list', {});
    const known = new Set(list.map(({ id }) => id));
    const chosen = wanted.split(',').filter((id) => known.has(id));
    const read =
      chosen.length >= 2
        ? await client.call('mockUp.compare', { ids: chosen })
        : await Promise.all(chosen.map((id) => client.call('mockUp.whole', { id })));
    setAll(list);
    setWholes(read);
    setFailure(null);
  }, [client, wanted]);
  useEffect(() => {
    reload().catch((error: unknown) => setFailure(sentenceOf(error)));
  }, [reload]);
  const mockUps = useMemo(() => {
    const options = {
      instruments: checkInstruments(instruments),
      defaults: { ...budgetDefaults, placementPriorDeg: placementDeg, slackDeg },
    };
    return wholes?.map((whole) => comparedMockUp(whole, options)) ?? null;
  }, [wholes, instruments, placementDeg, slackDeg]);
  return { mockUps, all, failure, reload };
}
