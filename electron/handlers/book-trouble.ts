import type { BookTrouble } from '../../core/contract/book-messages.ts';
import type { BookErrorCode } from '../database/book-errors.ts';
import type { BookHolder } from '../database/holder.ts';

/** Why the book can't be written, for the screen that says what to do; null where all is well. */
export function bookTrouble(books: BookHolder): BookTrouble | null {
  const problem = books.problem();
  if (problem !== null) return { kind: kindOf(problem.code), sentence: problem.message, isReadable: false };
  const { readOnlyReason, readOnlyKind } = books.book();
  return readOnlyReason === null ? null : { kind: readOnlyKind ?? 'other', sentence: readOnlyReason, isReadable: true };
}

function kindOf(code: BookErrorCode): BookTrouble['kind'] {
  switch (code) {
    case 'book_locked':
      return 'locked';
    case 'book_damaged':
    case 'row_damaged':
      return 'damaged';
    case 'book_newer':
      return 'newer';
    case 'book_read_only':
      return 'write_protected';
    case 'book_unreadable':
      return 'unreadable';
    case 'disk_full':
    case 'disk_error':
    case 'not_found':
    case 'id_taken':
    case 'unknown_reference':
      return 'other';
  }
}
