import type { Id, Time } from '../../core/contract/basics.ts';
import type { BookWriter } from './connection.ts';

/** Notes that something of a build changed; the list of the book is ordered by it. */
export function touchBuild(writer: BookWriter, buildId: Id, at: Time): void {
  writer.run(
    `INSERT INTO build_activity (build_id, changed_at) VALUES (?, ?)
     ON CONFLICT (build_id) DO UPDATE SET changed_at = max(changed_at, excluded.changed_at)`,
    buildId,
    at,
  );
}
