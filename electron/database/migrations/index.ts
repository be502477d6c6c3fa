import { firstBook } from './0001-first-book.ts';
import type { Migration } from './migration.ts';

/** All steps of the schema, oldest first; versions rise by one. */
export const migrations: readonly Migration[] = [firstBook];

/** The schema version that this program reads and writes. */
export const programSchemaVersion = migrations.length;
