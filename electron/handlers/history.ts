import { setTimeout } from 'node:timers/promises';
import type { SearchHit } from '../../core/contract/book-messages.ts';
import type { Handlers } from '../../core/contract/dispatch.ts';
import { listBackups } from '../database/backup.ts';
import type { BookReader } from '../database/connection.ts';
import { getEditable } from '../database/editable.ts';
import { listHistory } from '../database/history.ts';
import { buildKind, customerKind, mockUpKind, partKind } from '../database/kinds.ts';
import type { Book } from '../database/open.ts';
import { valueWithoutDetails } from '../database/personal-details.ts';
import type { Json, Preferences } from '../database/preferences.ts';
import { removeCustomerDetails } from '../database/remove-details.ts';
import { searchBook, searchName } from '../database/search.ts';
import type { HandlerDependencies } from './dependencies.ts';
import type { ExchangeFiles } from './files.ts';

/** From the record itself, whose check sum is looked at; the index is only a pointer. */
function titleOf(reader: BookReader, { entity, rowId }: SearchHit): string {
  switch (entity) {
    case 'customer':
      return getEditable(reader, customerKind, rowId).name;
    case 'part':
      return getEditable(reader, partKind, rowId).name;
    case 'mock_up':
      return getEditable(reader, mockUpKind, rowId).name;
    case 'build':
      return getEditable(reader, buildKind, rowId).title;
  }
}

/** Records named in the answer to a removal; a common word would name the whole book. */
const mostNamedRecords = 50;

const logEmptyings = 100;
const logEmptyingEveryMs = 100;

/** A backup or an export that reads at the time keeps the log from being emptied; it is tried until they are through. */
async function emptyLog({ database }: Book, log: (sentence: string) => void): Promise<void> {
  for (let count = 0; count < logEmptyings && database.open; count += 1) {
    const [row] = database.pragma('wal_checkpoint(TRUNCATE)') as { busy: number }[];
    if (row?.busy === 0) return;
    await setTimeout(logEmptyingEveryMs);
  }
  log('the log beside the book could not be emptied after details were removed; closing the program empties it');
}

/** A build that was begun and not yet made is kept among the preferences, with the customer typed into it. */
function blankDrafts(preferences: Preferences, details: readonly string[]): void {
  for (const [key, value] of Object.entries(preferences.all())) {
    const blanked = valueWithoutDetails(value, details) as Json;
    if (JSON.stringify(blanked) !== JSON.stringify(value)) preferences.set(key, blanked);
  }
}

export function historyHandlers(
  deps: HandlerDependencies,
  files: ExchangeFiles,
): Pick<Handlers, 'book.search' | 'history.list' | 'customer.removeDetails'> {
  return {
    async 'book.search'({ query, limit }) {
      const { read } = deps.books.book();
      return searchBook(read, query, limit).map((hit) => ({ ...hit, title: titleOf(read, hit) }));
    },
    async 'history.list'(query) {
      return listHistory(deps.books.book().read, query);
    },
    async 'customer.removeDetails'({ id }) {
      const book = deps.books.book();
      const { sheetsChanged, name, details } = book.write((writer) => removeCustomerDetails(writer, id));
      // What was overwritten in the file must not live on in the log beside it.
      await emptyLog(book, deps.log);
      blankDrafts(deps.preferences, details);
      deps.announce({ topic: 'book_changed' });
      return {
        sheetsChanged,
        stillNamedIn: searchName(book.read, name, mostNamedRecords),
        backupsHoldingThem: listBackups(deps.books.path).length,
        archivesHoldingThem: files.keptArchives(),
      };
    },
  };
}
