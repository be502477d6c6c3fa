import { onTestFinished } from 'vitest';
import { type BookSession, type BookSessionOptions, openBookSession } from './book-session.ts';
import { temporaryFolder } from './temporary-folder.ts';

export { makeMockUp, onePixelJpeg, quantityReading } from './book-records.ts';

export type TestBook = BookSession;

export interface TestBookOptions extends BookSessionOptions {
  readonly folder?: string;
}

/** A real book for one test, in a folder of its own unless one is given. */
export async function openTestBook({
  folder = temporaryFolder(),
  ...options
}: TestBookOptions = {}): Promise<TestBook> {
  const session = await openBookSession(folder, options);
  onTestFinished(() => session.books.close());
  return session;
}
