import { firstBook } from './0001-first-book.ts';
import { search } from './0002-search.ts';
import { exchange } from './0003-exchange.ts';
import type { Migration } from './migration.ts';

/** All steps of the schema, oldest first; versions rise by one. */
export const migrations: readonly Migration[] = [firstBook, search, exchange];

/** The schema version that this program reads and writes. */
export const programSchemaVersion = migrations.length;
