import { join } from 'node:path';
import { type Client, createClient } from '../../core/contract/client.ts';
import type { Dispatch } from '../../core/contract/dispatch.ts';
import type { Announcement } from '../../core/contract/messages.ts';
import { type BookHolder, createBookHolder } from '../../electron/database/holder.ts';
import { bookFileName } from '../../electron/database/location.ts';
import type { OpenOptions } from '../../electron/database/open.ts';
import { createPreferences } from '../../electron/database/preferences.ts';
import { createBookDispatch } from '../../electron/handlers/index.ts';

export interface BookSession {
  readonly folder: string;
  readonly path: string;
  readonly books: BookHolder;
  readonly dispatch: Dispatch;
  readonly client: Client;
  readonly announcements: Announcement[];
  readonly logged: string[];
}

export interface BookSessionOptions extends OpenOptions {
  readonly printPdf?: ((html: string) => Promise<Uint8Array>) | null;
}

/** A real book in a folder with all handlers, as both shells have it; whoever opens it closes `books`. */
export async function openBookSession(
  folder: string,
  { printPdf = null, ...open }: BookSessionOptions = {},
): Promise<BookSession> {
  const path = join(folder, bookFileName);
  const books = await createBookHolder(path, open);
  const announcements: Announcement[] = [];
  const logged: string[] = [];
  const dispatch = createBookDispatch({
    books,
    preferences: createPreferences(folder),
    version: '0.0.0-test',
    shell: 'loopback',
    demo: false,
    notices: () => [],
    announce: (announcement) => announcements.push(announcement),
    printPdf,
    log: (sentence) => logged.push(sentence),
  });
  const client = createClient({ call: dispatch, listen: () => () => {} });
  return { folder, path, books, dispatch, client, announcements, logged };
}
