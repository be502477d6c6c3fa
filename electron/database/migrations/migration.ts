import type { Database } from 'better-sqlite3';

/** One numbered step of the schema. It may import nothing of today's program: it must still run unchanged in ten years. */
export interface Migration {
  readonly version: number;
  readonly name: string;
  up(database: Database): void;
}
