import Sqlite from 'better-sqlite3';
import { EnvironmentError } from '../../core/errors.ts';

export type BookErrorCode =
  | 'not_found'
  | 'id_taken'
  | 'unknown_reference'
  | 'book_read_only'
  | 'book_locked'
  | 'book_damaged'
  | 'book_newer'
  | 'book_unreadable'
  | 'row_damaged'
  | 'disk_full'
  | 'disk_error';

/** Something about the book that the user must hear. */
export class BookError extends EnvironmentError {
  declare readonly code: BookErrorCode;
  /** @param whatHappened one sentence; the message shown is this sentence followed by the next step */
  constructor(code: BookErrorCode, whatHappened: string, nextStep: string, options?: ErrorOptions) {
    super(code, whatHappened, nextStep, options);
  }
}

const sentences: [prefix: string, code: BookErrorCode, whatHappened: string, nextStep: string][] = [
  [
    'SQLITE_BUSY',
    'book_locked',
    'Another program holds the book open for writing; nothing was changed.',
    'Close that program (a database viewer, a second Portsight, a sync client) and do this again.',
  ],
  [
    'SQLITE_LOCKED',
    'book_locked',
    'The book is busy with another step; nothing was changed.',
    'Do this again in a moment.',
  ],
  [
    'SQLITE_FULL',
    'disk_full',
    'The disk is full, so this could not be stored; everything stored before is kept.',
    'Free some space and do it again.',
  ],
  [
    'SQLITE_READONLY',
    'book_read_only',
    'The book or its folder is write-protected, so this could not be stored.',
    'Give your account the right to write there and start again.',
  ],
  [
    'SQLITE_PERM',
    'book_unreadable',
    'Your account may not open the book.',
    'Give it the right to read and write in that folder.',
  ],
  [
    'SQLITE_CANTOPEN',
    'book_unreadable',
    'The book could not be opened.',
    'Check that its folder exists and that your account may read and write there.',
  ],
  [
    'SQLITE_NOTADB',
    'book_damaged',
    'The file is not a build book, or its beginning is damaged; it was not changed.',
    'Restore a backup.',
  ],
  [
    'SQLITE_CORRUPT',
    'book_damaged',
    'The book is damaged.',
    'Do not go on writing to it: restore a backup, or save what can still be read.',
  ],
  [
    'SQLITE_IOERR',
    'disk_error',
    'The disk reported a fault, so this could not be stored; everything stored before is kept.',
    'Check the disk and its cable.',
  ],
  [
    'SQLITE_CONSTRAINT_FOREIGNKEY',
    'unknown_reference',
    'This entry refers to something that is not in the book.',
    'Load the page again and choose it anew.',
  ],
];

/** Turns an error of SQLite into one with a sentence for the user; other errors pass unchanged. */
export function toBookError(error: unknown): unknown {
  if (!(error instanceof Sqlite.SqliteError)) return error;
  const { code } = error;
  for (const [prefix, bookCode, whatHappened, nextStep] of sentences) {
    if (code.startsWith(prefix)) return new BookError(bookCode, whatHappened, nextStep, { cause: error });
  }
  return error;
}
