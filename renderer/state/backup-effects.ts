import type { Backup } from '../../core/contract/book-messages.ts';
import type { Client } from '../../core/contract/client.ts';
import type { OutputOf } from '../../core/contract/messages.ts';

export async function loadBackups(client: Client): Promise<OutputOf<'backup.list'>> {
  return client.call('backup.list', {});
}

/** Why a backup was made, in words. */
export const backupKindTitles: Readonly<Record<Backup['kind'], string>> = {
  daily: 'by itself, once a day',
  by_hand: 'by hand',
  before_restore: 'before a restore',
  before_layout: 'before the layout was brought up to date',
  salvaged: 'saved from a damaged book',
};

/** Counts of records as a list: "12 readings, 3 pictures". */
export function countsInWords(counts: Readonly<Record<string, number>>): string {
  const said = Object.entries(counts)
    .filter(([, count]) => count > 0)
    .map(([table, count]) => `${count} ${tableTitle(table, count)}`);
  return said.length === 0 ? 'nothing' : said.join(', ');
}

const tableTitles: Readonly<Record<string, readonly [one: string, many: string]>> = {
  workplace: ['workplace', 'workplaces'],
  change_log: ['entry of the change log', 'entries of the change log'],
  customer: ['customer', 'customers'],
  customer_version: ['earlier version of a customer', 'earlier versions of customers'],
  part: ['part', 'parts'],
  port: ['port', 'ports'],
  build: ['build', 'builds'],
  mock_up: ['mock-up', 'mock-ups'],
  picture: ['picture', 'pictures'],
  wheel_setup: ['set-up of the wheel', 'set-ups of the wheel'],
  wheel_setup_state: ['state of a set-up', 'states of set-ups'],
  reading: ['reading', 'readings'],
  reading_mark: ['mark on a reading', 'marks on readings'],
  sheet: ['sheet', 'sheets'],
  conflict: ['conflict', 'conflicts'],
  workplaces: ['workplace', 'workplaces'],
  changes: ['entry of the change log', 'entries of the change log'],
  customers: ['customer', 'customers'],
  'customer-versions': ['earlier version of a customer', 'earlier versions of customers'],
  parts: ['part', 'parts'],
  builds: ['build', 'builds'],
  'mock-ups': ['mock-up', 'mock-ups'],
  pictures: ['picture', 'pictures'],
  'wheel-setups': ['set-up of the wheel', 'set-ups of the wheel'],
  'wheel-setup-states': ['state of a set-up', 'states of set-ups'],
  readings: ['reading', 'readings'],
  marks: ['mark on a reading', 'marks on readings'],
  sheets: ['sheet', 'sheets'],
};

/** Name of a table of the book or of an archive. */
export function tableTitle(table: string, count: number): string {
  const [one, many] = tableTitles[table] ?? [table, table];
  return count === 1 ? one : many;
}
