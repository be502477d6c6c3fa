import type { Database } from 'better-sqlite3';
import type { Migration } from './migration.ts';

/*
 * Conventions of every table, so that another database server can take the rows as they are:
 * - ids are UUID version 7 as lower-case text; they never change.
 * - times are ISO 8601 in UTC with milliseconds, as text.
 * - truth values are 0 or 1 in an INTEGER column.
 * - `content` is the record as JSON text; the columns beside it are extracts for keys, joins and searches.
 * - `change_id` is the entry of change_log that made the row as it stands; `check_sum` is a CRC-32 over the row.
 * - closed lists are lookup tables with a foreign key: a new member is a new row, not a rebuilt table.
 */
const sql = `
CREATE TABLE workplace (id TEXT PRIMARY KEY, name TEXT NOT NULL, created_at TEXT NOT NULL) STRICT;

CREATE TABLE entity_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO entity_kind VALUES ('customer'), ('part'), ('build'), ('mock_up'), ('wheel_setup'), ('reading'),
  ('reading_mark'), ('picture'), ('sheet');
CREATE TABLE change_action (action TEXT PRIMARY KEY) STRICT;
INSERT INTO change_action VALUES ('create'), ('update'), ('keep'), ('remove_details');
CREATE TABLE part_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO part_kind VALUES ('engine'), ('barrel'), ('piston'), ('head'), ('gasket');
CREATE TABLE port_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO port_kind VALUES ('exhaust'), ('auxiliary_exhaust'), ('transfer_main'), ('transfer_secondary'), ('boost'),
  ('intake_skirt'), ('intake_disc'), ('intake_reed');
CREATE TABLE reading_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO reading_kind VALUES ('stop_contact'), ('tdc_check'), ('port_edge'), ('quantity');
CREATE TABLE edge_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO edge_kind VALUES ('opens'), ('closes');
CREATE TABLE turning_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO turning_kind VALUES ('forwards'), ('backwards');
CREATE TABLE signal_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO signal_kind VALUES ('key'), ('button'), ('foot_switch'), ('game_controller'), ('steady_hold'), ('knock'),
  ('typed'), ('re_read');
CREATE TABLE mark_kind (kind TEXT PRIMARY KEY) STRICT;
INSERT INTO mark_kind VALUES ('struck'), ('restored'), ('doubtful'), ('trusted'), ('void'), ('valid');

CREATE TABLE change_log (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  seq INTEGER NOT NULL,
  made_at TEXT NOT NULL,
  entity TEXT NOT NULL REFERENCES entity_kind (kind),
  row_id TEXT NOT NULL,
  action TEXT NOT NULL REFERENCES change_action (action),
  content_before TEXT,
  content_after TEXT,
  supersedes_change_id TEXT,
  resolves_change_id TEXT,
  check_sum INTEGER NOT NULL,
  UNIQUE (workplace_id, seq)
) STRICT;
CREATE INDEX change_log_by_row ON change_log (row_id);

CREATE TABLE customer (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  content TEXT NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL
) STRICT;
-- A customer's earlier details stand here and not in change_log, so that they can be removed on request.
CREATE TABLE customer_version (
  change_id TEXT PRIMARY KEY REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  customer_id TEXT NOT NULL REFERENCES customer (id) DEFERRABLE INITIALLY DEFERRED,
  content TEXT NOT NULL,
  check_sum INTEGER NOT NULL
) STRICT;
CREATE INDEX customer_version_by_customer ON customer_version (customer_id);

CREATE TABLE part (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  kind TEXT NOT NULL REFERENCES part_kind (kind),
  content TEXT NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL
) STRICT;
CREATE INDEX part_by_kind ON part (kind);
-- Extract of a barrel's ports; ties their kinds to the lookup table.
CREATE TABLE port (
  barrel_id TEXT NOT NULL REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  port_id TEXT NOT NULL,
  kind TEXT NOT NULL REFERENCES port_kind (kind),
  PRIMARY KEY (barrel_id, port_id)
) STRICT;

CREATE TABLE build (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  customer_id TEXT REFERENCES customer (id) DEFERRABLE INITIALLY DEFERRED,
  engine_id TEXT REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  content TEXT NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL
) STRICT;
CREATE INDEX build_by_customer ON build (customer_id);
CREATE INDEX build_by_engine ON build (engine_id);

CREATE TABLE mock_up (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  build_id TEXT NOT NULL REFERENCES build (id) DEFERRABLE INITIALLY DEFERRED,
  engine_id TEXT NOT NULL REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  barrel_id TEXT NOT NULL REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  piston_id TEXT REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  head_id TEXT REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  base_gasket_id TEXT REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  head_gasket_id TEXT REFERENCES part (id) DEFERRABLE INITIALLY DEFERRED,
  copied_from_id TEXT REFERENCES mock_up (id) DEFERRABLE INITIALLY DEFERRED,
  content TEXT NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL
) STRICT;
CREATE INDEX mock_up_by_build ON mock_up (build_id);
CREATE INDEX mock_up_by_engine ON mock_up (engine_id);
CREATE INDEX mock_up_by_barrel ON mock_up (barrel_id);

CREATE TABLE picture (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  mime TEXT NOT NULL,
  width_px INTEGER NOT NULL,
  height_px INTEGER NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL,
  bytes BLOB NOT NULL
) STRICT;

CREATE TABLE wheel_setup (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  mock_up_id TEXT NOT NULL REFERENCES mock_up (id) DEFERRABLE INITIALLY DEFERRED,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL
) STRICT;
CREATE INDEX wheel_setup_by_mock_up ON wheel_setup (mock_up_id);
-- Each state of a set-up stays; the one with the highest change_id counts.
CREATE TABLE wheel_setup_state (
  change_id TEXT PRIMARY KEY REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  setup_id TEXT NOT NULL REFERENCES wheel_setup (id) DEFERRABLE INITIALLY DEFERRED,
  reference_picture_id TEXT REFERENCES picture (id) DEFERRABLE INITIALLY DEFERRED,
  content TEXT NOT NULL,
  check_sum INTEGER NOT NULL,
  reader_state TEXT
) STRICT;
CREATE INDEX wheel_setup_state_by_setup ON wheel_setup_state (setup_id, change_id);

CREATE TABLE reading (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  mock_up_id TEXT NOT NULL REFERENCES mock_up (id) DEFERRABLE INITIALLY DEFERRED,
  setup_id TEXT REFERENCES wheel_setup (id) DEFERRABLE INITIALLY DEFERRED,
  what TEXT NOT NULL REFERENCES reading_kind (kind),
  port_id TEXT,
  edge TEXT REFERENCES edge_kind (kind),
  turning TEXT REFERENCES turning_kind (kind),
  quantity TEXT,
  signal TEXT NOT NULL REFERENCES signal_kind (kind),
  picture_id TEXT REFERENCES picture (id) DEFERRABLE INITIALLY DEFERRED,
  second_picture_id TEXT REFERENCES picture (id) DEFERRABLE INITIALLY DEFERRED,
  supersedes_id TEXT REFERENCES reading (id) DEFERRABLE INITIALLY DEFERRED,
  content TEXT NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL
) STRICT;
CREATE INDEX reading_by_mock_up ON reading (mock_up_id, change_id);
CREATE INDEX reading_by_supersedes ON reading (supersedes_id) WHERE supersedes_id IS NOT NULL;

CREATE TABLE reading_mark (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  reading_id TEXT NOT NULL REFERENCES reading (id) DEFERRABLE INITIALLY DEFERRED,
  mark TEXT NOT NULL REFERENCES mark_kind (kind),
  reason TEXT NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL
) STRICT;
CREATE INDEX reading_mark_by_reading ON reading_mark (reading_id, change_id);

CREATE TABLE sheet (
  id TEXT PRIMARY KEY,
  workplace_id TEXT NOT NULL REFERENCES workplace (id),
  created_at TEXT NOT NULL,
  mock_up_id TEXT REFERENCES mock_up (id) DEFERRABLE INITIALLY DEFERRED,
  kind TEXT NOT NULL,
  title TEXT NOT NULL,
  change_id TEXT NOT NULL REFERENCES change_log (id) DEFERRABLE INITIALLY DEFERRED,
  check_sum INTEGER NOT NULL,
  snapshot TEXT NOT NULL,
  html TEXT NOT NULL
) STRICT;
CREATE INDEX sheet_by_mock_up ON sheet (mock_up_id);

-- Derived: when anything of a build last changed. Can be made anew from change_log.
CREATE TABLE build_activity (
  build_id TEXT PRIMARY KEY REFERENCES build (id) DEFERRABLE INITIALLY DEFERRED,
  changed_at TEXT NOT NULL
) STRICT;
CREATE INDEX build_activity_by_time ON build_activity (changed_at, build_id);
`;

/** What was read stays as it was read: corrections are new rows. */
const appendOnly = ['change_log', 'reading', 'reading_mark', 'picture', 'wheel_setup', 'wheel_setup_state'];

export const firstBook: Migration = {
  version: 1,
  name: 'first-book',
  up(database: Database): void {
    database.exec(sql);
    for (const table of appendOnly) {
      database.exec(`
        CREATE TRIGGER ${table}_refuses_update BEFORE UPDATE ON ${table}
        BEGIN SELECT RAISE(ABORT, '${table} is append-only: add a row that supersedes'); END;
        CREATE TRIGGER ${table}_refuses_delete BEFORE DELETE ON ${table}
        BEGIN SELECT RAISE(ABORT, '${table} is append-only: add a row that supersedes'); END;`);
    }
  },
};
