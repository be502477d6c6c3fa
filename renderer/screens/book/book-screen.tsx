import './book.css';
import { useEffect, useId, useMemo, useRef } from 'react';
import { useStore } from 'zustand';
import type { BookRow } from '../../../core/contract/messages.ts';
import { Button, LinkButton } from '../../parts/controls.tsx';
import { isTyping } from '../../parts/keyboard.ts';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { searchBook, watchBook } from '../../state/book-effects.ts';
import { createBookStore, isBookEmpty } from '../../state/book-store.ts';
import { formatRoute } from '../../state/route.ts';
import { useClient } from '../../state/services.ts';

/** Which builds are there; find; start. */
export function BookScreen() {
  const client = useClient();
  const store = useMemo(createBookStore, []);
  const state = useStore(store);
  const searchId = useId();
  const search = useRef<HTMLInputElement>(null);
  useEffect(() => watchBook(client, store), [client, store]);
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.key !== '/' || isTyping(event.target)) return;
      event.preventDefault();
      search.current?.focus();
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, []);

  if (isBookEmpty(state)) return <EmptyBook />;
  return (
    <div className="desk">
      <div className="row spread">
        <h1>Book</h1>
        <div className="row">
          <label className="visually-hidden" htmlFor={searchId}>
            Find a build
          </label>
          <div className="field-box book-search">
            <input
              id={searchId}
              ref={search}
              type="search"
              placeholder="Title, job number, customer, engine, notes"
              value={state.query}
              onChange={(event) => void searchBook(client, store, event.target.value)}
            />
            <span className="field-unit">
              <kbd className="key-hint">/</kbd>
            </span>
          </div>
          <LinkButton to={{ screen: 'new-build' }} look="main">
            New build
          </LinkButton>
        </div>
      </div>
      {state.phase === 'loading' ? (
        <LoadingState what="Reading the book" />
      ) : state.phase === 'failed' ? (
        <FailedState
          what="The book can't be read"
          sentence={state.failure ?? ''}
          onRetry={() => void searchBook(client, store, state.query)}
        />
      ) : state.rows.length === 0 ? (
        <EmptyState
          title={`Nothing in the book fits "${state.query.trim()}"`}
          actions={<Button onPress={() => void searchBook(client, store, '')}>Show all builds</Button>}
        >
          <p>The search looks at titles, job numbers, customers, engines, who measured, parts and notes.</p>
        </EmptyState>
      ) : (
        <BuildTable rows={state.rows} total={state.total} />
      )}
    </div>
  );
}

function BuildTable({ rows, total }: { rows: readonly BookRow[]; total: number }) {
  return (
    <>
      <div className="table-scroll">
        <table className="table book-table">
          <caption className="visually-hidden">Builds, the latest change first</caption>
          <thead>
            <tr>
              <th scope="col">Build</th>
              <th scope="col">Job</th>
              <th scope="col">Customer</th>
              <th scope="col">Engine</th>
              <th scope="col">Measured by</th>
              <th scope="col" className="figure">
                Mock-ups
              </th>
              <th scope="col" className="figure">
                Readings
              </th>
              <th scope="col">Changed</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.buildId}>
                <th scope="row">
                  <a href={formatRoute({ screen: 'build', buildId: row.buildId })}>{row.title}</a>
                </th>
                <td>{row.jobNumber}</td>
                <td>{row.customer}</td>
                <td>{row.engine}</td>
                <td>{row.measuredBy}</td>
                <td className="figure">{row.mockUps}</td>
                <td className="figure">{row.readings}</td>
                <td className="muted">{shownTime(row.changedAt)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className="muted small">
        {total > rows.length
          ? `${rows.length} of ${total} builds; search to see the others.`
          : `${total} ${total === 1 ? 'build' : 'builds'}`}
      </p>
    </>
  );
}

function EmptyBook() {
  return (
    <EmptyState
      isScreen
      title="The book is empty"
      actions={
        <>
          <LinkButton to={{ screen: 'new-build' }} look="main">
            New build
          </LinkButton>
          <LinkButton to={{ screen: 'help', page: 'first-job' }}>How the first job goes</LinkButton>
        </>
      }
    >
      <p>
        A build is one job on one engine. Begin with the job, the engine's stroke and rod, and the ports of its barrel;
        then mock it up and stamp the port edges at the bench.
      </p>
      <p>
        To look round first, close the program and start it with <kbd>npm start -- --demo</kbd>: it opens a book of its
        own with a finished mock-up, and a recorded camera where none is plugged in. Your own book is not touched.
      </p>
    </EmptyState>
  );
}
