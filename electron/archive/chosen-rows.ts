import type { Database } from 'better-sqlite3';
import type { Id } from '../../core/contract/basics.ts';

export interface ExportRequest {
  readonly scope: 'build' | 'book' | 'changes';
  readonly buildIds: readonly Id[];
  readonly since: Readonly<Record<Id, number>>;
  readonly includeCustomers: boolean;
}

/** Notes which records go out in a temporary table, each with all that it refers to. */
export function chooseRows(
  database: Database,
  { scope, buildIds, since }: Pick<ExportRequest, 'scope' | 'buildIds' | 'since'>,
): void {
  database.exec('CREATE TEMP TABLE chosen (row_id TEXT PRIMARY KEY) WITHOUT ROWID');
  database.exec('CREATE TEMP TABLE chosen_change (id TEXT PRIMARY KEY) WITHOUT ROWID');
  if (scope === 'changes') {
    const add = database.prepare(
      'INSERT OR IGNORE INTO chosen_change SELECT id FROM change_log WHERE workplace_id = ? AND seq > ?',
    );
    const workplaces = database.prepare('SELECT id FROM workplace').all() as { id: Id }[];
    for (const { id } of workplaces) add.run(id, since[id] ?? 0);
    database.exec(
      'INSERT OR IGNORE INTO chosen SELECT row_id FROM change_log WHERE id IN (SELECT id FROM chosen_change)',
    );
    return;
  }
  if (scope === 'book') return;
  const addBuild = database.prepare('INSERT OR IGNORE INTO chosen SELECT id FROM build WHERE id = ?');
  for (const id of buildIds) addBuild.run(id);
  const add = (select: string) => database.exec(`INSERT OR IGNORE INTO chosen ${select}`);
  const chosen = 'IN (SELECT row_id FROM chosen)';
  // What is measured in these builds ...
  add(`SELECT id FROM mock_up WHERE build_id ${chosen}`);
  add(`SELECT id FROM reading WHERE mock_up_id ${chosen}`);
  add(`SELECT id FROM reading_mark WHERE reading_id ${chosen}`);
  add(`SELECT id FROM wheel_setup WHERE mock_up_id ${chosen}`);
  add(`SELECT id FROM sheet WHERE mock_up_id ${chosen}`);
  add(`SELECT picture_id FROM reading WHERE id ${chosen} AND picture_id IS NOT NULL`);
  add(`SELECT second_picture_id FROM reading WHERE id ${chosen} AND second_picture_id IS NOT NULL`);
  add(
    `SELECT reference_picture_id FROM wheel_setup_state WHERE setup_id ${chosen} AND reference_picture_id IS NOT NULL`,
  );
  // ... the mock-ups that they were copied from, as far back as it goes, with their builds but without their readings ...
  for (let before = -1, now = 0; now !== before; ) {
    before = now;
    add(`SELECT copied_from_id FROM mock_up WHERE id ${chosen} AND copied_from_id IS NOT NULL`);
    now = (database.prepare('SELECT count(*) AS n FROM chosen').get() as { n: number }).n;
  }
  add(`SELECT build_id FROM mock_up WHERE id ${chosen}`);
  // ... and the parts and customers of them all.
  for (const column of ['engine_id', 'barrel_id', 'piston_id', 'head_id', 'base_gasket_id', 'head_gasket_id']) {
    add(`SELECT ${column} FROM mock_up WHERE id ${chosen} AND ${column} IS NOT NULL`);
  }
  add(`SELECT engine_id FROM build WHERE id ${chosen} AND engine_id IS NOT NULL`);
  add(`SELECT customer_id FROM build WHERE id ${chosen} AND customer_id IS NOT NULL`);
}
