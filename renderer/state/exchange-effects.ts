import type { ArchiveSummary, ImportReport } from '../../core/contract/book-messages.ts';
import type { Client } from '../../core/contract/client.ts';
import { downloadExport, saveFile, uploadFile } from './file-transfer.ts';
import { sentenceOf } from './sentence-of.ts';
import type { TaskReport } from './task.ts';
import { callForWork } from './work-calls.ts';

export interface ExportAsked {
  readonly what: 'archive' | 'table';
  /** null: the whole book. */
  readonly buildId: string | null;
  readonly includeCustomers: boolean;
}

/** Has the host write an archive or a table and saves it. @returns the sentence that says how it went */
export async function exportFile(client: Client, asked: ExportAsked, report: TaskReport): Promise<string> {
  const buildIds = asked.buildId === null ? [] : [asked.buildId];
  const made =
    asked.what === 'table'
      ? await callForWork(client, 'exchange.table', { buildIds }, 'Writing the table', report)
      : await callForWork(
          client,
          'exchange.export',
          { scope: asked.buildId === null ? 'book' : 'build', buildIds, includeCustomers: asked.includeCustomers },
          'Writing the archive; stamping can go on',
          report,
        );
  await downloadExport(client, made, report);
  return `Saved as ${made.fileName}. A copy lies at ${made.path}.`;
}

/** An archive that arrived and was looked through; nothing of it is in the book yet. */
export interface Incoming {
  readonly fileName: string;
  readonly uploadId: string;
  readonly summary: ArchiveSummary;
  /** What the import would do, or the sentence why it would be refused. */
  readonly rehearsal: ImportReport | null;
  readonly refusal: string | null;
}

/** Takes a chosen archive in and tells what it holds and what importing it would do. @throws where it is no archive */
export async function lookIntoArchive(client: Client, file: File, report: TaskReport): Promise<Incoming> {
  const uploadId = await uploadFile(client, file, report);
  try {
    report.say('Looking into the archive');
    const summary = await client.call('exchange.inspect', { uploadId });
    return { fileName: file.name, uploadId, summary, ...(await rehearse(client, uploadId, report)) };
  } catch (error) {
    await dropUpload(client, uploadId);
    throw error;
  }
}

async function rehearse(
  client: Client,
  uploadId: string,
  report: TaskReport,
): Promise<Pick<Incoming, 'rehearsal' | 'refusal'>> {
  const sentence = 'Working out what the import would do; nothing is stored by that';
  try {
    return { rehearsal: await callForWork(client, 'exchange.rehearse', { uploadId }, sentence, report), refusal: null };
  } catch (error) {
    if (report.signal.aborted) throw error;
    return { rehearsal: null, refusal: sentenceOf(error) };
  }
}

/** A file that isn't wanted any more; what stays is removed at the next start. */
export async function dropUpload(client: Client, uploadId: string): Promise<void> {
  await client.call('upload.drop', { uploadId }).catch(() => {});
}

/** Takes a looked-at archive into the book, all of it or nothing. */
export function takeIn(client: Client, { uploadId }: Incoming, report: TaskReport): Promise<ImportReport> {
  return callForWork(client, 'exchange.import', { uploadId }, 'Importing, all of it or nothing', report);
}

/** What one book says of itself to another, so that it is sent only what it lacks. */
const stateFormat = 'portsight-state';

export async function saveState(client: Client, workplaceName: string): Promise<string> {
  const known = await client.call('exchange.state', {});
  const text = JSON.stringify({ format: stateFormat, version: 1, workplaceName, known }, null, 1);
  const fileName = `state of ${plainName(workplaceName)}.portsight.json`;
  saveFile(fileName, new Blob([text], { type: 'application/json' }));
  return `Saved as ${fileName}. Take it to the book that is to send its changes.`;
}

export interface OtherState {
  readonly workplaceName: string;
  readonly known: Readonly<Record<string, number>>;
}

/** Reads the file that the other book saved. @throws with the reason where it isn't one */
export function parseState(text: string): OtherState {
  const refusal = new Error('This is not the state of a book: save it on the other computer under "Exchange" first.');
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch {
    throw refusal;
  }
  if (typeof raw !== 'object' || raw === null || !('format' in raw) || raw.format !== stateFormat) throw refusal;
  if (!('version' in raw) || raw.version !== 1) {
    throw new Error('This state was saved by a newer Portsight: update Portsight here first.');
  }
  if (!('known' in raw) || typeof raw.known !== 'object' || raw.known === null) throw refusal;
  const entries = Object.entries(raw.known);
  const isSound = entries.every(
    ([id, seq]) => /^[0-9a-f-]{36}$/.test(id) && typeof seq === 'number' && Number.isInteger(seq) && seq >= 0,
  );
  if (!isSound) throw refusal;
  const name = 'workplaceName' in raw && typeof raw.workplaceName === 'string' ? raw.workplaceName.slice(0, 200) : '';
  return { workplaceName: name, known: Object.fromEntries(entries) as Record<string, number> };
}

/** Writes everything that the other book lacks and saves it. */
export async function exportChanges(client: Client, other: OtherState, report: TaskReport): Promise<string> {
  const made = await callForWork(
    client,
    'exchange.export',
    { scope: 'changes', since: { ...other.known } },
    `Writing what ${other.workplaceName === '' ? 'the other book' : other.workplaceName} lacks`,
    report,
  );
  await downloadExport(client, made, report);
  return `Saved as ${made.fileName}. Import it on the other computer.`;
}

function plainName(name: string): string {
  return name.replaceAll(/[^\p{L}\p{N} _-]+/gu, ' ').trim() || 'this book';
}
