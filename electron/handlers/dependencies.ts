import type { Announcement } from '../../core/contract/messages.ts';
import type { BookHolder } from '../database/holder.ts';
import type { Preferences } from '../database/preferences.ts';

/** @param html self-contained page as `checkSheetHtml` lets it through */
export type PrintPdf = (html: string) => Promise<Uint8Array>;

/** What handlers need from outside; they know neither Electron nor HTTP. */
export interface HandlerDependencies {
  /** The book that is open now; a restore puts another one in its place. */
  readonly books: BookHolder;
  readonly preferences: Preferences;
  readonly version: string;
  readonly shell: 'electron' | 'loopback';
  readonly demo: boolean;
  /** Plain sentences for the user that are known outside the book: port taken, ... */
  notices(): readonly string[];
  announce(announcement: Announcement): void;
  /** Prints kept HTML to PDF, or null where no printing Chromium is at hand. */
  readonly printPdf: PrintPdf | null;
  log(sentence: string): void;
}
