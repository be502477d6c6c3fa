import type { Database } from 'better-sqlite3';
import type { Migration } from './migration.ts';

/* Two books changed the same record without knowing of each other: both versions stand in change_log, one counts. */
const sql = `
CREATE TABLE conflict (
  id TEXT PRIMARY KEY,
  entity TEXT NOT NULL REFERENCES entity_kind (kind),
  row_id TEXT NOT NULL,
  kept_change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  other_change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  found_at TEXT NOT NULL,
  settled_at TEXT,
  UNIQUE (kept_change_id, other_change_id)
) STRICT;
CREATE INDEX conflict_open ON conflict (row_id) WHERE settled_at IS NULL;
-- A sheet whose personal details were removed on request says so: it no longer prints exactly as it did.
ALTER TABLE sheet ADD COLUMN details_removed_at TEXT;
`;

export const exchange: Migration = {
  version: 3,
  name: 'exchange',
  up(database: Database): void {
    database.exec(sql);
  },
};
