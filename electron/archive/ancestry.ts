import type { Id } from '../../core/contract/basics.ts';
import type { BookReader } from '../database/connection.ts';

/**
 * Does a change build on another one, however far back?
 * @returns true where `ancestor` is reached from `descendant` by what it supersedes and settles; false for the same change
 */
export function isAncestor(reader: BookReader, ancestor: Id, descendant: Id): boolean {
  const found = reader.get<{ there: number }>(
    `WITH RECURSIVE chain (id) AS (
       SELECT supersedes_change_id FROM change_log WHERE id = ?1
       UNION SELECT resolves_change_id FROM change_log WHERE id = ?1
       UNION SELECT c.supersedes_change_id FROM chain JOIN change_log c ON c.id = chain.id
       UNION SELECT c.resolves_change_id FROM chain JOIN change_log c ON c.id = chain.id
     ) SELECT 1 AS there FROM chain WHERE id = ?2 LIMIT 1`,
    descendant,
    ancestor,
  );
  return found !== undefined;
}
