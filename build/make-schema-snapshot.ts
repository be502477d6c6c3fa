import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { migrate } from '../electron/database/migrate.ts';
import { migrations } from '../electron/database/migrations/index.ts';

/** Adds the schema of new versions to the snapshot of the tests; those that are there stay as they were shipped. */
const path = join(import.meta.dirname, '..', 'tests', 'electron', 'database', 'schema-snapshot.json');
const replaceLatest = process.argv.includes('--replace-latest');
let snapshot: Record<string, Record<string, string>> = {};
try {
  snapshot = JSON.parse(readFileSync(path, 'utf8')) as typeof snapshot;
} catch {
  console.log('Beginning a new snapshot.');
}
for (const { version } of migrations) {
  const isLatest = version === migrations.length;
  if (snapshot[version] !== undefined && !(replaceLatest && isLatest)) continue;
  const database = new Sqlite(':memory:');
  migrate(database, version);
  const rows = database
    .prepare(
      "SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY type, name",
    )
    .all() as { type: string; name: string; sql: string }[];
  database.close();
  snapshot[version] = Object.fromEntries(
    rows.map(({ type, name, sql }) => [`${type} ${name}`, sql.replaceAll(/\s+/g, ' ')]),
  );
  console.log(`Layout ${version}: ${rows.length} objects.`);
}
writeFileSync(path, `${JSON.stringify(snapshot, null, 2)}\n`);
