import type { Announcement } from '../../core/contract/messages.ts';
import type { Book } from '../database/open.ts';
import type { Preferences } from '../database/preferences.ts';

/** What handlers need from outside; they know neither Electron nor HTTP. */
export interface HandlerDependencies {
  /** The book that is open now; a restore puts another one in its place. */
  book(): Book;
  readonly preferences: Preferences;
  readonly version: string;
  readonly shell: 'electron' | 'loopback';
  readonly demo: boolean;
  /** Plain sentences for the user that are known outside the book: port taken, ... */
  notices(): readonly string[];
  announce(announcement: Announcement): void;
  /** Prints kept HTML to PDF, or null where no printing Chromium is at hand. */
  readonly printPdf: ((html: string) => Promise<Uint8Array>) | null;
  log(sentence: string): void;
}
