import type { Database } from 'better-sqlite3';
import { migrations, programSchemaVersion } from './migrations/index.ts';

/** Marks the file as a build book ("PSBK"), so that a foreign SQLite file isn't taken for one. */
export const bookApplicationId = 0x5053424b;

export function schemaVersion(database: Database): number {
  return database.pragma('user_version', { simple: true }) as number;
}

/**
 * Brings the schema up to this program's version, each step in a transaction of its own.
 * @param upTo stop at this version; tests use it to make old books
 */
export function migrate(database: Database, upTo: number = programSchemaVersion): void {
  for (const migration of migrations) {
    if (migration.version <= schemaVersion(database) || migration.version > upTo) continue;
    database
      .transaction(() => {
        migration.up(database);
        database.pragma(`application_id = ${bookApplicationId}`);
        database.pragma(`user_version = ${migration.version}`);
      })
      .immediate();
  }
}
