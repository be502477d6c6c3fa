import { dirname } from 'node:path';
import { BookError } from './book-errors.ts';
import { type Book, type OpenOptions, openBook } from './open.ts';
import { readWorkplace, type Workplace } from './workplace.ts';

/** The book that is open now, or why there is none: the page is there in both cases and can offer the way out. */
export interface BookHolder {
  readonly path: string;
  /** @throws BookError the reason why no book is open */
  book(): Book;
  problem(): BookError | null;
  workplace(): Workplace;
  /**
   * Closes the book, lets the step work on its file, and opens it again. Only inside `alone`.
   * @param step must leave the file as it was where it throws
   */
  exchange(step: () => Promise<void>): Promise<void>;
  /** Runs a step that no writing may come between, after all such steps that were asked for before. */
  alone<T>(step: () => Promise<T>): Promise<T>;
  /** Answers when no such step is going on. */
  settled(): Promise<void>;
  close(): void;
}

export async function createBookHolder(path: string, options: OpenOptions = {}): Promise<BookHolder> {
  let state: { book: Book } | { problem: BookError } = await tryOpen();
  async function tryOpen(): Promise<{ book: Book } | { problem: BookError }> {
    try {
      return { book: await openBook(path, options) };
    } catch (error) {
      if (!(error instanceof BookError)) throw error;
      options.log?.(`the book could not be opened: ${error.message}`);
      return { problem: error };
    }
  }
  /** The last step that was asked for; it never fails. */
  let lastAlone: Promise<unknown> | null = null;
  function close(): void {
    if ('book' in state) state.book.close();
  }
  return {
    path,
    book() {
      if ('problem' in state) throw state.problem;
      return state.book;
    },
    problem: () => ('problem' in state ? state.problem : null),
    workplace: () => ('book' in state ? state.book.workplace : readWorkplace(dirname(path))),
    async exchange(step) {
      close();
      state = {
        problem: new BookError('book_locked', 'The book is being exchanged.', 'Wait a moment and do this again.'),
      };
      try {
        await step();
      } finally {
        state = await tryOpen();
      }
    },
    alone(step) {
      const mine = (lastAlone ?? Promise.resolve()).then(step);
      const ended = mine.then(
        () => {},
        () => {},
      );
      lastAlone = ended;
      void ended.then(() => {
        if (lastAlone === ended) lastAlone = null;
      });
      return mine;
    },
    async settled() {
      while (lastAlone !== null) await lastAlone;
    },
    close,
  };
}
