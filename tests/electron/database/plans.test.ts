import { describe, expect, it } from 'vitest';
import { openTestBook } from '../../support/book.ts';

/** Queries that run at every start, at every stamp or while somebody waits: none may walk through a whole table. */
const hotQueries: [what: string, sql: string][] = [
  ['readings of a mock-up', 'SELECT * FROM reading WHERE mock_up_id = ? ORDER BY change_id'],
  [
    'marks of a mock-up',
    'SELECT k.* FROM reading r JOIN reading_mark k ON k.reading_id = r.id WHERE r.mock_up_id = ? ORDER BY k.change_id',
  ],
  ['set-ups of a mock-up', 'SELECT * FROM wheel_setup WHERE mock_up_id = ? ORDER BY change_id'],
  ['latest state of a set-up', 'SELECT * FROM wheel_setup_state WHERE setup_id = ? ORDER BY change_id DESC LIMIT 1'],
  ['last number of the log', 'SELECT max(seq) AS seq FROM change_log WHERE workplace_id = ?'],
  ['changes of a record', 'SELECT c.* FROM change_log c WHERE c.row_id = ? ORDER BY c.id DESC LIMIT 200'],
  ['mock-ups of a build', 'SELECT count(*) FROM mock_up m WHERE m.build_id = ?'],
  ['readings of a build', 'SELECT count(*) FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = ?'],
  [
    'first page of the list',
    'SELECT build_id, changed_at FROM build_activity ORDER BY changed_at DESC, build_id DESC LIMIT 200',
  ],
  ['records by id', 'SELECT * FROM build WHERE id IN (SELECT value FROM json_each(?))'],
  ['builds of a customer', 'SELECT id FROM build WHERE customer_id = ?'],
  ['builds of a barrel', 'SELECT build_id FROM mock_up WHERE barrel_id = ?'],
];

describe('a hot query', () => {
  it.each(hotQueries)('for %s goes by an index', async (_what, sql) => {
    const { books } = await openTestBook();
    const plan = books
      .book()
      .database.prepare(`EXPLAIN QUERY PLAN ${sql}`)
      .all(...(sql.includes('?') ? [null] : [])) as { detail: string }[];
    const details = plan.map(({ detail }) => detail);
    // Walking an index in its own order and stopping early is no walk through the table.
    const walks = details.filter(
      (detail) => /^SCAN /.test(detail) && !/USING (COVERING )?INDEX|json_each|VIRTUAL/.test(detail),
    );
    expect(walks).toEqual([]);
    expect(details.join('\n')).toMatch(/INDEX/);
  });
});
