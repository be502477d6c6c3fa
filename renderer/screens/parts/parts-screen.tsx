import './parts-screen.css';
import { useState } from 'react';
import type { PartKind } from '../../../core/contract/parts.ts';
import { BookBar } from '../../parts/book-bar.tsx';
import { Button, LinkButton, Notice } from '../../parts/controls.tsx';
import { ChoiceField, TextField } from '../../parts/fields.tsx';
import { partKinds, partKindTitle, partSizes } from '../../parts/part-words.ts';
import { shownSizes } from '../../parts/shown-size.ts';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { shownDay } from '../../parts/time-text.ts';
import { useLoaded } from '../../parts/use-loaded.ts';
import { type ListedPart, loadParts, type PartFilter, type PartOrder, shownParts } from '../../state/part-list.ts';
import { formatRoute } from '../../state/route.ts';
import { usePreferences } from '../../state/services.ts';
import { useWords } from '../../state/words.ts';

/** Rows drawn at once; a longer list is narrowed by typing. */
const drawnRows = 200;

const orders: readonly { value: PartOrder; title: string }[] = [
  { value: 'name', title: 'Name' },
  { value: 'kind', title: 'Kind' },
  { value: 'made', title: 'Latest first' },
  { value: 'uses', title: 'Most used first' },
];

/** Engines, barrels, pistons, heads and gaskets that mock-ups are made of. */
export function PartsScreen() {
  const { value, failure, reload } = useLoaded(loadParts);
  const [filter, setFilter] = useState<PartFilter>({ kind: null, text: '', order: 'kind' });
  return (
    <div className="desk">
      <BookBar place="parts" />
      <h1>Parts</h1>
      {value === null && failure !== null ? (
        <FailedState what="The parts can't be read" sentence={failure} onRetry={reload} />
      ) : value === null ? (
        <LoadingState what="Reading the parts" />
      ) : (
        <>
          {failure === null ? null : (
            <Notice tone="failure" title="The latest state could not be read.">
              {failure}
            </Notice>
          )}
          <NewPartButtons />
          {value.length === 0 ? (
            <EmptyState title="No parts yet">
              <p>
                A new build brings its engine and its barrel along. Pistons, heads and gaskets are entered here, and
                tied to a mock-up where it says what it is assembled from.
              </p>
            </EmptyState>
          ) : (
            <PartTable all={value} filter={filter} onFilter={setFilter} />
          )}
        </>
      )}
    </div>
  );
}

function NewPartButtons() {
  const words = useWords();
  return (
    <div className="row">
      <span className="small muted">New</span>
      {partKinds.map((kind) => (
        <LinkButton key={kind} to={{ screen: 'new-part', kind }}>
          {partKindTitle(kind, words)}
        </LinkButton>
      ))}
    </div>
  );
}

interface PartTableProps {
  readonly all: readonly ListedPart[];
  readonly filter: PartFilter;
  readonly onFilter: (filter: PartFilter) => void;
}

function PartTable({ all, filter, onFilter }: PartTableProps) {
  const words = useWords();
  const rows = shownParts(all, filter);
  const kinds: readonly (PartKind | null)[] = [null, ...partKinds];
  return (
    <>
      <div className="row parts-filter">
        <fieldset className="row field-set">
          <legend className="visually-hidden">Kind of part</legend>
          {kinds.map((kind) => (
            <Button
              key={kind ?? 'all'}
              look="quiet"
              isPressed={filter.kind === kind}
              onPress={() => onFilter({ ...filter, kind })}
            >
              {kind === null ? 'All' : partKindTitle(kind, words)}{' '}
              <span className="muted">
                {kind === null ? all.length : all.filter(({ part }) => part.kind === kind).length}
              </span>
            </Button>
          ))}
        </fieldset>
        <div className="row parts-find">
          <TextField
            label="Find a part"
            isLabelHidden
            placeholder="Name, marks or notes"
            value={filter.text}
            onChange={(text) => onFilter({ ...filter, text })}
          />
          <ChoiceField
            label="Order of the parts"
            isLabelHidden
            value={filter.order}
            choices={orders}
            onChange={(order) => onFilter({ ...filter, order })}
          />
        </div>
      </div>
      {rows.length === 0 ? (
        <EmptyState
          title="No part fits"
          actions={<Button onPress={() => onFilter({ ...filter, kind: null, text: '' })}>Show all parts</Button>}
        >
          <p>Every word typed must stand in the name, the marks or the notes.</p>
        </EmptyState>
      ) : (
        <Rows rows={rows} />
      )}
    </>
  );
}

function Rows({ rows }: { rows: readonly ListedPart[] }) {
  const words = useWords();
  const shown = shownSizes(usePreferences());
  return (
    <>
      <div className="table-scroll">
        <table className="table">
          <caption className="visually-hidden">Parts of the book</caption>
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col">Kind</th>
              <th scope="col">Marks</th>
              <th scope="col">Sizes</th>
              <th scope="col" className="figure">
                Mock-ups
              </th>
              <th scope="col">Entered</th>
            </tr>
          </thead>
          <tbody>
            {rows.slice(0, drawnRows).map(({ part, usedIn }) => (
              <tr key={part.id}>
                <th scope="row">
                  <a href={formatRoute({ screen: 'part', partId: part.id })}>{part.name}</a>
                </th>
                <td>{partKindTitle(part.kind, words)}</td>
                <td>{part.marks}</td>
                <td>{partSizes(part, shown)}</td>
                <td className="figure">{usedIn.length}</td>
                <td className="muted">{shownDay(part.createdAt)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {rows.length > drawnRows ? (
        <p className="muted small">
          {drawnRows} of {rows.length} parts; type a word to narrow the list.
        </p>
      ) : null}
    </>
  );
}
