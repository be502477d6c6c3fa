import type { Handlers } from '../../core/contract/dispatch.ts';
import { listBackups } from '../database/backup.ts';
import { listHistory } from '../database/history.ts';
import { removeCustomerDetails } from '../database/remove-details.ts';
import { searchBook, searchName } from '../database/search.ts';
import type { HandlerDependencies } from './dependencies.ts';

/** Records named in the answer to a removal; a common word would name the whole book. */
const mostNamedRecords = 50;

export function historyHandlers(
  deps: HandlerDependencies,
): Pick<Handlers, 'book.search' | 'history.list' | 'customer.removeDetails'> {
  return {
    async 'book.search'({ query, limit }) {
      return searchBook(deps.books.book().read, query, limit);
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
