import type { Database } from 'better-sqlite3';
import { recordTables } from '../database/record-tables.ts';

/**
 * The book's tables of records for a PostgreSQL server that several workplaces share. Same tables, same columns, same
 * ids, same meaning; only the types become the server's own:
 * UUIDs `uuid`, times `timestamptz`, JSON `json` (which keeps the text as it is), integers `bigint`, bytes `bytea`.
 * Derived tables (search, activity) are left out: they are made anew from the records.
 */
export const sharedTables = [
  'entity_kind',
  'change_action',
  'part_kind',
  'port_kind',
  'reading_kind',
  'edge_kind',
  'turning_kind',
  'signal_kind',
  'mark_kind',
  ...recordTables,
] as const;

const jsonColumns = new Set(['content', 'content_before', 'content_after', 'snapshot']);
/** Ids that a person or a part list gives, not UUIDs of ours. */
const namedIds = new Set(['port_id']);

export interface SharedColumn {
  readonly name: string;
  readonly type: 'uuid' | 'timestamptz' | 'json' | 'text' | 'bigint' | 'double precision' | 'bytea';
  readonly isRequired: boolean;
  /** Place in the primary key from 1, or 0. */
  readonly keyPlace: number;
}

interface ColumnInfo {
  name: string;
  type: string;
  notnull: number;
  pk: number;
}

export function sharedColumns(database: Database, table: string): SharedColumn[] {
  return (database.pragma(`table_info(${table})`) as ColumnInfo[]).map(({ name, type, notnull, pk }) => ({
    name,
    type: sharedType(name, type),
    isRequired: notnull === 1 || pk > 0,
    keyPlace: pk,
  }));
}

function sharedType(name: string, type: string): SharedColumn['type'] {
  if (type === 'INTEGER') return 'bigint';
  if (type === 'REAL') return 'double precision';
  if (type === 'BLOB') return 'bytea';
  if (jsonColumns.has(name)) return 'json';
  if (name.endsWith('_at')) return 'timestamptz';
  return (name === 'id' || name.endsWith('_id')) && !namedIds.has(name) ? 'uuid' : 'text';
}

interface ForeignKey {
  id: number;
  table: string;
  from: string;
  to: string | null;
}

/** SQL that makes the tables, keys and append-only rules. */
export function sharedSchema(database: Database): string {
  const parts = [
    'CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS',
    "$$ BEGIN RAISE EXCEPTION '% is append-only: add a row that supersedes', TG_TABLE_NAME; END $$;",
  ];
  for (const table of sharedTables) {
    const columns = sharedColumns(database, table);
    const key = columns
      .filter(({ keyPlace }) => keyPlace > 0)
      .sort((first, second) => first.keyPlace - second.keyPlace);
    const lines = [
      ...columns.map(({ name, type, isRequired }) => `${name} ${type}${isRequired ? ' NOT NULL' : ''}`),
      `PRIMARY KEY (${key.map(({ name }) => name).join(', ')})`,
      ...uniqueKeys(database, table).map((names) => `UNIQUE (${names.join(', ')})`),
    ];
    parts.push(`CREATE TABLE ${table} (\n  ${lines.join(',\n  ')}\n);`);
  }
  // After all tables are there: some refer to each other.
  for (const table of sharedTables) {
    for (const { table: parent, from } of database.pragma(`foreign_key_list(${table})`) as ForeignKey[]) {
      const [target] = sharedColumns(database, parent).filter(({ keyPlace }) => keyPlace === 1);
      parts.push(
        `ALTER TABLE ${table} ADD FOREIGN KEY (${from}) REFERENCES ${parent} (${target?.name ?? 'id'}) DEFERRABLE INITIALLY DEFERRED;`,
      );
    }
  }
  const refusing = database.prepare(
    "SELECT DISTINCT tbl_name AS name FROM sqlite_schema WHERE type = 'trigger' AND name LIKE '%_refuses_update'",
  );
  for (const { name } of refusing.all() as { name: string }[]) {
    parts.push(
      `CREATE TRIGGER ${name}_refuses_change BEFORE UPDATE OR DELETE ON ${name} FOR EACH ROW EXECUTE FUNCTION refuse_change();`,
    );
  }
  return `${parts.join('\n')}\n`;
}

function uniqueKeys(database: Database, table: string): string[][] {
  const indexes = database.pragma(`index_list(${table})`) as { name: string; origin: string }[];
  return indexes
    .filter(({ origin }) => origin === 'u')
    .map(({ name }) => (database.pragma(`index_info(${name})`) as { name: string }[]).map((column) => column.name));
}

/** The rows as `COPY` blocks, to be read after `sharedSchema` in one transaction. */
export function* sharedRows(database: Database): IterableIterator<string> {
  for (const table of sharedTables) {
    const columns = sharedColumns(database, table);
    yield `COPY ${table} (${columns.map(({ name }) => name).join(', ')}) FROM stdin;\n`;
    for (const row of database.prepare(`SELECT * FROM ${table}`).iterate() as IterableIterator<
      Record<string, unknown>
    >) {
      yield `${columns.map(({ name }) => copyCell(row[name])).join('\t')}\n`;
    }
    yield '\\.\n';
  }
}

function copyCell(value: unknown): string {
  if (value === null || value === undefined) return '\\N';
  if (Buffer.isBuffer(value)) return `\\\\x${value.toString('hex')}`;
  return String(value).replaceAll('\\', '\\\\').replaceAll('\t', '\\t').replaceAll('\n', '\\n').replaceAll('\r', '\\r');
}
