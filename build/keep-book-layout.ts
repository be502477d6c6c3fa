import { copyFileSync, existsSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { migrate } from '../electron/database/migrate.ts';
import { migrations } from '../electron/database/migrations/index.ts';

/**
 * At a release: keeps a small book of each layout that has none yet in native-fixtures/books, made from the one before
 * by its migration. Those that are there stay as they are, since they are what that program wrote.
 */
const folder = join(import.meta.dirname, '..', 'native-fixtures', 'books');
const path = (version: number): string => join(folder, `layout-${version}.sqlite`);

for (const { version } of migrations.slice(1)) {
  if (existsSync(path(version))) continue;
  copyFileSync(path(version - 1), path(version));
  const database = new Sqlite(path(version));
  try {
    migrate(database, version);
    database.pragma('journal_mode = DELETE');
    database.exec('VACUUM');
    console.log(`Layout ${version} is kept.`);
  } catch (error) {
    rmSync(path(version), { force: true });
    throw error;
  } finally {
    database.close();
  }
}
