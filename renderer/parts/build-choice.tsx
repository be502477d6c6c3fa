import { useCallback, useState } from 'react';
import type { Client } from '../../core/contract/client.ts';
import type { BookRow } from '../../core/contract/messages.ts';
import { Notice } from './controls.tsx';
import { ChoiceField, TextField } from './fields.tsx';
import { useLoaded } from './use-loaded.ts';

/** Builds offered at once; in a larger book the others are reached by a search. */
const mostOffered = 200;
/** A list of this many is read through quicker than it is searched. */
const searchedFrom = 20;

interface BuildChoiceProps {
  readonly label: string;
  /** What it means that no build is chosen. */
  readonly none: string;
  readonly chosen: BookRow | null;
  readonly onChoose: (build: BookRow | null) => void;
}

/** One build out of a book of any size. */
export function BuildChoice({ label, none, chosen, onChoose }: BuildChoiceProps) {
  const [query, setQuery] = useState('');
  const ask = useCallback((from: Client) => from.call('book.list', { query, limit: mostOffered }), [query]);
  const { value: found, failure } = useLoaded(ask);
  const rows = found?.rows ?? [];
  // What was chosen stays in the list when the search moves on.
  const offered = chosen === null || rows.some((row) => row.buildId === chosen.buildId) ? rows : [chosen, ...rows];
  const total = found?.total ?? 0;
  return (
    <>
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {query === '' && total <= searchedFrom ? null : (
        <TextField
          label="Search the builds"
          value={query}
          onChange={setQuery}
          hint={
            total > rows.length
              ? `${rows.length} of ${total} builds are in the list: type a title, job number or customer.`
              : `${total} ${total === 1 ? 'build fits' : 'builds fit'}.`
          }
        />
      )}
      <ChoiceField
        label={label}
        value={chosen?.buildId ?? ''}
        choices={[
          { value: '', title: none },
          ...offered.map((row) => ({
            value: row.buildId,
            title: row.jobNumber === '' ? row.title : `${row.title}, ${row.jobNumber}`,
          })),
        ]}
        onChange={(buildId) => onChoose(offered.find((row) => row.buildId === buildId) ?? null)}
      />
    </>
  );
}
