import './book.css';
import { useEffect, useId, useMemo, useRef } from 'react';
import { useStore } from 'zustand';
import { BookBar } from '../../parts/book-bar.tsx';
import { BookTroubleText } from '../../parts/book-trouble.tsx';
import { Button, LinkButton } from '../../parts/controls.tsx';
import { isTyping } from '../../parts/keyboard.ts';
import { routeOfHit, SearchHits } from '../../parts/search-hits.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { searchBook, showMoreBuilds, watchBook } from '../../state/book-effects.ts';
import { type BookState, createBookStore, isBookEmpty, isUnfiltered, noFilter } from '../../state/book-store.ts';
import type { Route } from '../../state/route.ts';
import { navigate, useClient, useHost } from '../../state/services.ts';
import { BookFilterBar } from './book-filter.tsx';
import { BuildTable } from './build-table.tsx';

/** Which builds are there; find; start. */
export function BookScreen() {
  const { info } = useHost();
  if (info?.bookTrouble?.isReadable === false) {
    return (
      <div className="desk">
        <BookBar place={null} />
        <h1>Book</h1>
        <BookTroubleText trouble={info.bookTrouble} path={info.databasePath} />
      </div>
    );
  }
  return <BuildList />;
}

function BuildList() {
  const client = useClient();
  const { info } = useHost();
  const store = useMemo(createBookStore, []);
  const state = useStore(store);
  useEffect(() => watchBook(client, store), [client, store]);
  const showAll = () => void searchBook(client, store, '', noFilter);
  if (isBookEmpty(state)) return <EmptyBook />;
  return (
    <div className="desk">
      <BookBar place={null} />
      <div className="row spread">
        <h1>Book</h1>
        <div className="row">
          <SearchField state={state} onQuery={(query) => void searchBook(client, store, query)} />
          <LinkButton to={{ screen: 'new-build' }} look="main">
            New build
          </LinkButton>
        </div>
      </div>
      {info?.bookTrouble == null ? null : <BookTroubleText trouble={info.bookTrouble} path={info.databasePath} />}
      <BookFilterBar filter={state.filter} onChange={(filter) => void searchBook(client, store, state.query, filter)} />
      {state.phase === 'loading' ? (
        <LoadingState what="Reading the book" />
      ) : state.phase === 'failed' ? (
        <FailedState
          what="The book can't be read"
          sentence={state.failure ?? ''}
          onRetry={() => void searchBook(client, store, state.query)}
        />
      ) : (
        <>
          {state.rows.length > 0 ? (
            <BuildTable rows={state.rows} total={state.total} onMore={() => void showMoreBuilds(client, store)} />
          ) : state.hits.length > 0 ? (
            <p className="muted">No build fits.</p>
          ) : (
            <NothingFits state={state} onShowAll={showAll} />
          )}
          {state.hits.length === 0 ? null : (
            <section className="panel" aria-label="Also found">
              <h2>Also found</h2>
              <SearchHits hits={state.hits} />
            </section>
          )}
        </>
      )}
    </div>
  );
}

function NothingFits({ state, onShowAll }: { state: BookState; onShowAll: () => void }) {
  const query = state.query.trim();
  return (
    <EmptyState
      title={query === '' ? 'No build fits the filter' : `Nothing in the book fits "${query}"`}
      actions={<Button onPress={onShowAll}>Show all builds</Button>}
    >
      <p>
        The search looks at titles, job numbers, customers, engines, who measured, parts and notes; every word typed
        must begin a word there.{isUnfiltered(state.filter) ? '' : ' The filter above narrows it further.'}
      </p>
    </EmptyState>
  );
}

/** Found as it is typed; Enter opens the first that was found. */
function SearchField({ state, onQuery }: { state: BookState; onQuery: (query: string) => void }) {
  const searchId = useId();
  const search = useRef<HTMLInputElement>(null);
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.key !== '/' || isTyping(event.target)) return;
      event.preventDefault();
      search.current?.focus();
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, []);
  return (
    <>
      <label className="visually-hidden" htmlFor={searchId}>
        Find in the book
      </label>
      <div className="field-box book-search">
        <input
          id={searchId}
          ref={search}
          type="search"
          placeholder="Builds, parts, customers, notes"
          value={state.query}
          onChange={(event) => onQuery(event.target.value)}
          onKeyDown={(event) => {
            const first = event.key === 'Enter' ? firstFound(state) : null;
            if (first !== null) navigate(first);
          }}
        />
        <span className="field-unit">
          <kbd className="key-hint">/</kbd>
        </span>
      </div>
    </>
  );
}

function firstFound(state: BookState): Route | null {
  if (state.query.trim() === '') return null;
  const [row] = state.rows;
  if (row !== undefined) return { screen: 'build', buildId: row.buildId };
  const [hit] = state.hits;
  return hit === undefined ? null : routeOfHit(hit);
}

function EmptyBook() {
  return (
    <div className="desk">
      <BookBar place={null} />
      <EmptyState
        isScreen
        title="The book is empty"
        actions={
          <>
            <LinkButton to={{ screen: 'new-build' }} look="main">
              New build
            </LinkButton>
            <LinkButton to={{ screen: 'exchange' }}>Import an archive</LinkButton>
            <LinkButton to={{ screen: 'help', page: 'first-job' }}>How the first job goes</LinkButton>
          </>
        }
      >
        <p>
          A build is one job on one engine. Begin with the job, the engine's stroke and rod, and the ports of its
          barrel; then mock it up and stamp the port edges at the bench.
        </p>
        <p>
          To look round first, close the program and start it with <kbd>npm start -- --demo</kbd>: it opens a book of
          its own with a finished mock-up, and a recorded camera where none is plugged in. Your own book is not touched.
        </p>
      </EmptyState>
    </div>
  );
}
