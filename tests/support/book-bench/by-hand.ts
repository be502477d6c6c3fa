import Sqlite, { type Database } from 'better-sqlite3';

/**
 * The same reads and writes written out with better-sqlite3 alone: what the book's layers are measured against.
 * Rows come as objects with their JSON parsed, as whoever shows them needs them.
 */
export function openByHand(path: string): Database {
  const database = new Sqlite(path);
  database.pragma('journal_mode = WAL');
  database.pragma('synchronous = FULL');
  database.pragma('foreign_keys = ON');
  return database;
}

type Row = Record<string, string | number | null | Buffer>;
const parsed = (row: Row) => ({ ...row, content: JSON.parse(row['content'] as string) as unknown });

export interface ByHand {
  list(limit: number): unknown[];
  search(pattern: string, limit: number): unknown[];
  whole(mockUpId: string): unknown;
  stamp(
    ids: { reading: string; picture: string; changes: [string, string] },
    mockUpId: string,
    content: string,
    bytes: Buffer,
  ): void;
}

export function createByHand(database: Database): ByHand {
  const total = database.prepare('SELECT count(*) FROM build_activity');
  const rows = database.prepare(`
    SELECT a.changed_at, b.*, c.content AS customer, e.content AS engine,
      (SELECT count(*) FROM mock_up m WHERE m.build_id = a.build_id) AS mock_ups,
      (SELECT count(*) FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = a.build_id) AS readings
    FROM (SELECT build_id, changed_at FROM build_activity ORDER BY changed_at DESC, build_id DESC LIMIT ?) a
    JOIN build b ON b.id = a.build_id LEFT JOIN customer c ON c.id = b.customer_id LEFT JOIN part e ON e.id = b.engine_id
    ORDER BY a.changed_at DESC, a.build_id DESC`);
  const hits = database.prepare(`
    SELECT s.entity, s.row_id, s.title, snippet(search, 1, '', '', '…', 12) AS excerpt
    FROM search JOIN search_entry s ON s.id = search.rowid WHERE search MATCH ? ORDER BY rank LIMIT ?`);
  const record = {
    customer: database.prepare('SELECT * FROM customer WHERE id = ?'),
    part: database.prepare('SELECT * FROM part WHERE id = ?'),
    build: database.prepare('SELECT * FROM build WHERE id = ?'),
    mock_up: database.prepare('SELECT * FROM mock_up WHERE id = ?'),
  };
  const setups = database.prepare('SELECT * FROM wheel_setup WHERE mock_up_id = ? ORDER BY change_id');
  const state = database.prepare('SELECT * FROM wheel_setup_state WHERE setup_id = ? ORDER BY change_id DESC LIMIT 1');
  const readings = database.prepare('SELECT * FROM reading WHERE mock_up_id = ? ORDER BY change_id');
  const marks = database.prepare(
    'SELECT k.* FROM reading r JOIN reading_mark k ON k.reading_id = r.id WHERE r.mock_up_id = ? ORDER BY k.change_id',
  );
  const known = database.prepare('SELECT * FROM reading WHERE id = ?');
  const knownPicture = database.prepare('SELECT 1 FROM picture WHERE id = ?');
  const buildOf = database.prepare('SELECT build_id FROM mock_up WHERE id = ?');
  const last = database.prepare('SELECT max(seq) AS seq FROM change_log WHERE workplace_id = ?');
  const workplace = (database.prepare('SELECT id FROM workplace LIMIT 1').get() as { id: string }).id;
  const log = database.prepare(
    `INSERT INTO change_log (id, workplace_id, seq, made_at, entity, row_id, action, check_sum) VALUES (?, ?, ?, ?, ?, ?, 'keep', 0)`,
  );
  const picture = database.prepare(
    `INSERT INTO picture (id, workplace_id, created_at, mime, width_px, height_px, change_id, check_sum, bytes)
     VALUES (?, ?, ?, 'image/jpeg', 320, 240, ?, 0, ?)`,
  );
  const reading = database.prepare(
    `INSERT INTO reading (id, workplace_id, created_at, mock_up_id, setup_id, what, port_id, edge, turning, quantity, signal,
       picture_id, second_picture_id, supersedes_id, content, change_id, check_sum)
     VALUES (?, ?, ?, ?, NULL, 'quantity', NULL, NULL, NULL, 'ring_end_gap', 'key', ?, NULL, NULL, ?, ?, 0)`,
  );
  const touch = database.prepare(
    `INSERT INTO build_activity (build_id, changed_at) VALUES (?, ?)
     ON CONFLICT (build_id) DO UPDATE SET changed_at = max(changed_at, excluded.changed_at)`,
  );
  return {
    list(limit) {
      total.get();
      return (rows.all(limit) as Row[]).map((row) => ({
        ...parsed(row),
        customer: row['customer'] === null ? null : (JSON.parse(row['customer'] as string) as unknown),
        engine: row['engine'] === null ? null : (JSON.parse(row['engine'] as string) as unknown),
      }));
    },
    search: (pattern, limit) =>
      (hits.all(pattern, limit) as { entity: keyof typeof record; row_id: string }[]).map((hit) => ({
        ...hit,
        record: parsed(record[hit.entity].get(hit.row_id) as Row),
      })),
    whole(mockUpId) {
      const mockUp = record.mock_up.get(mockUpId) as Row;
      const build = record.build.get(mockUp['build_id']) as Row;
      return {
        mockUp: parsed(mockUp),
        build: parsed(build),
        customer: parsed(record.customer.get(build['customer_id']) as Row),
        engine: parsed(record.part.get(mockUp['engine_id']) as Row),
        barrel: parsed(record.part.get(mockUp['barrel_id']) as Row),
        setups: (setups.all(mockUpId) as Row[]).map((row) => ({ ...row, state: parsed(state.get(row['id']) as Row) })),
        readings: (readings.all(mockUpId) as Row[]).map(parsed),
        marks: marks.all(mockUpId),
      };
    },
    stamp(ids, mockUpId, content, bytes) {
      database
        .transaction(() => {
          const at = new Date().toISOString();
          knownPicture.get(ids.picture);
          const first = ((last.get(workplace) as { seq: number | null }).seq ?? 0) + 1;
          log.run(ids.changes[0], workplace, first, at, 'picture', ids.picture);
          picture.run(ids.picture, workplace, at, ids.changes[0], bytes);
          known.get(ids.reading);
          const { build_id: buildId } = buildOf.get(mockUpId) as { build_id: string };
          log.run(ids.changes[1], workplace, first + 1, at, 'reading', ids.reading);
          reading.run(ids.reading, workplace, at, mockUpId, ids.picture, content, ids.changes[1]);
          touch.run(buildId, at);
        })
        .immediate();
    },
  };
}
