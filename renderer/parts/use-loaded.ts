import { useCallback, useEffect, useRef, useState } from 'react';
import type { Client } from '../../core/contract/client.ts';
import { saysBookChanged } from '../../core/contract/messages.ts';
import { sentenceOf } from '../state/sentence-of.ts';
import { useClient } from '../state/services.ts';

/** What a screen asked the host for; what was read stays while a later question runs or fails. */
export interface Loaded<T> {
  readonly value: T | null;
  readonly failure: string | null;
  readonly reload: () => void;
}

/**
 * Asks now, and again whenever the book changes.
 * @param ask must keep its identity between draws (`useCallback` or a function outside the screen)
 */
export function useLoaded<T>(ask: (client: Client) => Promise<T>): Loaded<T> {
  const client = useClient();
  const [value, setValue] = useState<T | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const turn = useRef(0);
  const reload = useCallback(() => {
    turn.current += 1;
    const mine = turn.current;
    ask(client)
      .then((answer) => {
        // An answer that comes after a later question's is out of date.
        if (turn.current !== mine) return;
        setValue(answer);
        setFailure(null);
      })
      .catch((error: unknown) => {
        if (turn.current === mine) setFailure(sentenceOf(error));
      });
  }, [client, ask]);
  useEffect(() => {
    reload();
    return client.listen((announcement) => {
      if (saysBookChanged(announcement)) reload();
    });
  }, [client, reload]);
  return { value, failure, reload };
}
