import { execFileSync, spawnSync } from 'node:child_process';
import { chmodSync, chownSync, existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir, userInfo } from 'node:os';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { parseCsv } from '../../electron/archive/csv.ts';
import {
  type SharedColumn,
  sharedColumns,
  sharedRows,
  sharedSchema,
  sharedTables,
} from '../../electron/archive/postgres.ts';
import { openBookSession } from '../support/book-session.ts';
import { exportBytes, fillBook, importBytes } from '../support/books.ts';
import type { Proof } from './proof.ts';

const say = (line: string): void => console.log(`  ${line}`);

function findPostgres(): string | null {
  const root = '/usr/lib/postgresql';
  if (!existsSync(root)) return null;
  const [newest] = readdirSync(root).sort((first, second) => Number(second) - Number(first));
  const folder = join(root, newest ?? '', 'bin');
  return existsSync(join(folder, 'initdb')) ? folder : null;
}

/** PostgreSQL refuses to run as root: there it runs as the account that its package made. */
function asServer(): { uid: number; gid: number } | null {
  if (process.getuid?.() !== 0) return null;
  const id = (option: string) => Number(execFileSync('id', [option, 'postgres'], { encoding: 'utf8' }));
  return { uid: id('-u'), gid: id('-g') };
}

/** How a value of the server is written so that it can be compared with the book's own, letter by letter. */
function comparable({ name, type }: SharedColumn): string {
  switch (type) {
    case 'timestamptz':
      return `to_char(${name} AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;
    case 'bytea':
      return `encode(${name}, 'hex')`;
    case 'uuid':
    case 'json':
    case 'text':
    case 'bigint':
    case 'double precision':
      return `${name}::text`;
  }
}

function shown(value: unknown): string {
  if (Buffer.isBuffer(value)) return value.toString('hex');
  return value === null ? '' : String(value);
}

/**
 * Loads two merged books into Debian's PostgreSQL and compares every value of every row with the book:
 * ids, meaning of columns and stored values need no change for several workplaces to share one server.
 */
const proof: Proof = {
  name: 'postgres',
  async run() {
    const postgres = findPostgres();
    if (postgres === null) {
      say('PostgreSQL is not installed: run `apt-get install postgresql` and this proof again.');
      return false;
    }
    const folder = mkdtempSync(join(tmpdir(), 'portsight-postgres-'));
    const account = asServer();
    const options = account === null ? {} : account;
    const cluster = join(folder, 'cluster');
    chmodSync(folder, 0o755);
    mkdirSync(cluster);
    if (account !== null) chownSync(cluster, account.uid, account.gid);
    const run = (program: string, args: string[]) =>
      execFileSync(join(postgres, program), args, { ...options, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
    const user = account === null ? userInfo().username : 'postgres';
    const psql = (args: string[], input?: string) => {
      const result = spawnSync(
        join(postgres, 'psql'),
        ['-h', cluster, '-U', user, '-d', 'postgres', '-v', 'ON_ERROR_STOP=1', '-q', ...args],
        {
          ...options,
          encoding: 'utf8',
          maxBuffer: 500_000_000,
          ...(input === undefined ? {} : { input }),
        },
      );
      if (result.status !== 0) throw new Error(result.stderr.slice(0, 2000));
      return result.stdout;
    };
    let isRunning = false;
    try {
      const path = await mergedBook(folder);
      const database = new Sqlite(path, { readonly: true });
      run('initdb', ['-D', cluster, '-U', user, '-E', 'UTF8', '--locale=C', '-A', 'trust']);
      run('pg_ctl', [
        '-D',
        cluster,
        '-w',
        '-l',
        join(cluster, 'server.log'),
        '-o',
        `-c listen_addresses='' -k ${cluster}`,
        'start',
      ]);
      isRunning = true;
      say(psql(['-At', '-c', 'SELECT version()']).split(' on ')[0] ?? '');
      const script = join(folder, 'book.sql');
      // Lookup rows come with the copy, so the whole load is one transaction with its keys checked at the end.
      writeFileSync(script, `BEGIN;\n${sharedSchema(database)}${[...sharedRows(database)].join('')}COMMIT;\n`);
      chmodSync(script, 0o644);
      psql(['-f', script]);
      let differences = 0;
      let values = 0;
      for (const table of sharedTables) {
        const columns = sharedColumns(database, table);
        const key = columns.filter(({ keyPlace }) => keyPlace > 0).map(({ name }) => name);
        const order = key.map((name) => `${name}::text COLLATE "C"`).join(', ');
        const csv = psql([
          '-c',
          `COPY (SELECT ${columns.map(comparable).join(', ')} FROM ${table} ORDER BY ${order}) TO STDOUT WITH (FORMAT csv, NULL '')`,
        ]);
        const theirs = parseCsv(csv, ',');
        const ours = database.prepare(`SELECT * FROM ${table} ORDER BY ${key.join(', ')}`).all() as Record<
          string,
          unknown
        >[];
        if (theirs.length !== ours.length) differences += 1;
        ours.forEach((row, index) => {
          columns.forEach(({ name }, column) => {
            values += 1;
            if (shown(row[name]) !== (theirs[index]?.[column] ?? '')) {
              differences += 1;
              if (differences < 10)
                say(
                  `${table}.${name}: ${shown(row[name]).slice(0, 60)} is ${theirs[index]?.[column]?.slice(0, 60) ?? 'missing'}`,
                );
            }
          });
        });
        say(`${table}: ${ours.length} rows`);
      }
      const refusal = spawnSync(
        join(postgres, 'psql'),
        ['-h', cluster, '-U', user, '-d', 'postgres', '-c', 'DELETE FROM reading'],
        { ...options, encoding: 'utf8' },
      );
      const isRefused = refusal.stderr.includes('append-only');
      say(
        `${values} values compared, ${differences} differ; deleting a reading is ${isRefused ? 'refused' : 'NOT refused'}`,
      );
      database.close();
      return differences === 0 && isRefused && values > 500;
    } finally {
      if (isRunning) run('pg_ctl', ['-D', cluster, '-m', 'immediate', 'stop']);
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

/** A book that holds the work of two workplaces, conflicts and odd texts included. */
async function mergedBook(folder: string): Promise<string> {
  const [one, two] = [join(folder, 'one'), join(folder, 'two')];
  mkdirSync(one);
  mkdirSync(two);
  const first = await openBookSession(one);
  const { build, mockUp } = await fillBook(first.client, 'Ärger\twith \\ signs, 中 and "quotes"\nand lines');
  const second = await openBookSession(two);
  await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }));
  const content = { title: 'x', customerId: build.customerId, engineId: build.engineId };
  await first.client.call('build.update', { id: build.id, content: { ...content, title: 'of the first' } });
  await second.client.call('build.update', { id: build.id, content: { ...content, title: 'of the second' } });
  await fillBook(second.client, 'Second bench');
  await importBytes(first.client, await exportBytes(second.client, { scope: 'book' }));
  await first.client.call('mockUp.copy', { id: mockUp.id, name: 'another' });
  const { path } = first;
  second.books.close();
  first.books.close();
  return path;
}

export default proof;
