import type { SearchHit } from '../../core/contract/book-messages.ts';
import type { Handlers } from '../../core/contract/dispatch.ts';
import { listBackups } from '../database/backup.ts';
import type { BookReader } from '../database/connection.ts';
import { getEditable } from '../database/editable.ts';
import { listHistory } from '../database/history.ts';
import { buildKind, customerKind, mockUpKind, partKind } from '../database/kinds.ts';
import { removeCustomerDetails } from '../database/remove-details.ts';
import { searchBook, searchName } from '../database/search.ts';
import type { HandlerDependencies } from './dependencies.ts';

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

export function historyHandlers(
  deps: HandlerDependencies,
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
      const { sheetsChanged, name } = book.write((writer) => removeCustomerDetails(writer, id));
      // What was overwritten in the file must not live on in the log beside it.
      book.database.pragma('wal_checkpoint(TRUNCATE)');
      deps.announce({ topic: 'book_changed' });
      return {
        sheetsChanged,
        stillNamedIn: searchName(book.read, name, mostNamedRecords),
        backupsHoldingThem: listBackups(deps.books.path).length,
      };
    },
  };
}
