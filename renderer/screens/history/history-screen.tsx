import './history.css';
import { useCallback, useEffect, useRef, useState } from 'react';
import type { HistoryChange } from '../../../core/contract/book-messages.ts';
import { saysBookChanged } from '../../../core/contract/messages.ts';
import { BookBar } from '../../parts/book-bar.tsx';
import { Button, LinkButton, Notice } from '../../parts/controls.tsx';
import { TickField } from '../../parts/fields.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { type HistoryAsked, loadHistory, loadNames } from '../../state/history-effects.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient } from '../../state/services.ts';
import { ChangeRow } from './change-row.tsx';

const titles = {
  build: 'History of a build',
  record: 'History of a record',
  book: 'History of the book',
} as const;

/** Every change with its time, its workplace and what stood there before. */
export function HistoryScreen({ of, id }: HistoryAsked) {
  const client = useClient();
  const names = useLoaded(loadNames);
  // Until the names have come nobody can say that a record isn't in the book.
  const nameOf = (id: string) => (names.value === null ? '…' : (names.value.get(id) ?? null));
  const [changes, setChanges] = useState<readonly HistoryChange[] | null>(null);
  const [hasMore, setHasMore] = useState(false);
  const [failure, setFailure] = useState<string | null>(null);
  const [isEditsOnly, setEditsOnly] = useState(false);

  const turn = useRef(0);
  const shownCount = useRef(0);
  const load = useCallback(
    async (beforeId: string | null) => {
      turn.current += 1;
      const mine = turn.current;
      try {
        // Read anew, as much is shown as before: the place that was looked at must not vanish.
        const page = await loadHistory(client, { of, id }, beforeId, beforeId === null ? shownCount.current : 0);
        // An answer that comes after a later question's is out of date.
        if (turn.current !== mine) return;
        shownCount.current = beforeId === null ? page.changes.length : shownCount.current + page.changes.length;
        setChanges((known) => (beforeId === null ? page.changes : [...(known ?? []), ...page.changes]));
        setHasMore(page.hasMore);
        setFailure(null);
      } catch (error) {
        if (turn.current === mine) setFailure(sentenceOf(error));
      }
    },
    [client, of, id],
  );
  useEffect(() => {
    shownCount.current = 0;
    void load(null);
    return client.listen((announcement) => {
      if (saysBookChanged(announcement)) void load(null);
    });
  }, [client, load]);

  const shown = (changes ?? []).filter((change) => !isEditsOnly || change.action === 'update');
  return (
    <div className="desk">
      <BookBar place="history" />
      <div className="row spread">
        <h1>{titles[of ?? 'book']}</h1>
        <div className="row">
          <TickField label="Only what was changed later" isOn={isEditsOnly} onChange={setEditsOnly} />
          {of === null ? null : (
            <LinkButton to={{ screen: 'history', of: null, id: null }}>Of the whole book</LinkButton>
          )}
        </div>
      </div>
      {failure !== null && changes !== null ? <Notice tone="failure">{failure}</Notice> : null}
      {changes === null ? (
        failure === null ? (
          <LoadingState what="Reading the history" />
        ) : (
          <FailedState what="The history can't be read" sentence={failure} onRetry={() => void load(null)} />
        )
      ) : shown.length === 0 ? (
        <EmptyState title={isEditsOnly ? 'Nothing was changed later' : 'Nothing has happened yet'}>
          <p>Every entry, every change and every mark on a reading will stand here with its time.</p>
        </EmptyState>
      ) : (
        <div className="table-scroll">
          <table className="table history-table">
            <caption className="visually-hidden">Changes, the latest first</caption>
            <thead>
              <tr>
                <th scope="col">When</th>
                <th scope="col">Where</th>
                <th scope="col">What</th>
                <th scope="col">Field</th>
                <th scope="col">Before</th>
                <th scope="col">After</th>
                <th scope="col">
                  <span className="visually-hidden">Do</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {shown.map((change) => (
                <ChangeRow key={change.id} change={change} nameOf={nameOf} />
              ))}
            </tbody>
          </table>
        </div>
      )}
      {hasMore ? (
        <div className="row">
          <Button onPress={() => void load(changes?.at(-1)?.id ?? null)}>Show earlier ones</Button>
        </div>
      ) : null}
    </div>
  );
}
