import { v7 } from 'uuid';
import type { Id } from '../../core/contract/basics.ts';
import type { ImportReport } from '../../core/contract/book-messages.ts';
import type { Client } from '../../core/contract/client.ts';
import { makeMockUp, onePixelJpeg, quantityReading } from './book-records.ts';
import type { BookSession } from './book-session.ts';

/** Sends a file to the host in pieces, as the page does. */
export async function upload(client: Client, bytes: Uint8Array, pieceBytes = 3_000_000): Promise<string> {
  const { uploadId } = await client.call('upload.begin', { sizeBytes: bytes.length });
  for (let offset = 0; offset < bytes.length; offset += pieceBytes) {
    const piece = Buffer.from(bytes.subarray(offset, offset + pieceBytes)).toString('base64');
    await client.call('upload.append', { uploadId, offset, bytes: piece });
  }
  return uploadId;
}

export async function importBytes(client: Client, bytes: Uint8Array): Promise<ImportReport> {
  return client.call('exchange.import', { uploadId: await upload(client, bytes) });
}

/** Exports and fetches the archive in pieces, as the page does. */
export async function exportBytes(
  client: Client,
  request: {
    scope: 'build' | 'book' | 'changes';
    buildIds?: Id[];
    since?: Record<Id, number>;
    includeCustomers?: boolean;
  },
): Promise<Buffer> {
  const { exportId, sizeBytes } = await client.call('exchange.export', request);
  const pieces: Buffer[] = [];
  let offset = 0;
  for (;;) {
    const { bytes, isLast } = await client.call('download.read', { exportId, offset });
    const piece = Buffer.from(bytes, 'base64');
    pieces.push(piece);
    offset += piece.length;
    if (isLast) break;
  }
  const whole = Buffer.concat(pieces);
  if (whole.length !== sizeBytes) throw new Error(`${whole.length} bytes came of ${sizeBytes}`);
  return whole;
}

/** A build with everything that a build can have: pictures, set-up states, marks, corrections, a copy, a sheet. */
export async function fillBook(client: Client, title = 'Job 1') {
  const made = await makeMockUp(client, title);
  const pictureId = v7();
  const picture = { id: pictureId, mime: 'image/jpeg' as const, widthPx: 1, heightPx: 1, bytes: onePixelJpeg };
  const setupId = v7();
  const setup = { mockUpId: made.mockUp.id, forwards: null, by: 'camera' as const, referencePictureId: pictureId };
  await client.call('setup.create', { id: setupId, content: setup, pictures: [picture] });
  await client.call('setup.update', { id: setupId, content: { ...setup, forwards: 'clockwise' }, readerState: 'AAAA' });
  const stamp = await client.call('reading.add', {
    reading: {
      id: v7(),
      mockUpId: made.mockUp.id,
      subject: {
        what: 'port_edge',
        portId: 'exhaust',
        edge: 'opens',
        turning: 'forwards',
        criterion: { kind: 'first_light' },
        angle: { by: 'camera', setupId, rotationDeg: 91.6, sigmaDeg: 0.05, modulusDeg: 360, provisional: false },
      },
      signal: 'key',
      takenAt: '2026-03-01T10:00:00.000Z',
      pictureId,
    },
  });
  const first = await client.call('reading.add', {
    reading: quantityReading(made.mockUp.id, 0.3, { note: '=1+1, "quoted"\nline' }),
  });
  const second = await client.call('reading.add', {
    reading: quantityReading(made.mockUp.id, 0.1 + 0.2, { supersedesId: first.id, supersedesReason: 'mistyped' }),
  });
  await client.call('reading.mark', { readingIds: [stamp.id], mark: 'doubtful', reason: 'wheel moved' });
  const copy = await client.call('mockUp.copy', { id: made.mockUp.id, name: 'With 0.8 gasket' });
  const sheet = await client.call('sheet.keep', {
    mockUpId: made.mockUp.id,
    kind: 'timing',
    title: 'Timing',
    html: '<!doctype html><html><body><p>For Ada Quill: 176.8&deg;</p></body></html>',
    snapshot: { customer: 'Ada Quill', durationDeg: 176.8, 10: 'ten', 9: 'nine' },
  });
  return { ...made, pictureId, setupId, stamp, first, second, copy, sheet };
}

const tables = [
  'workplace',
  'change_log',
  'customer',
  'customer_version',
  'part',
  'port',
  'build',
  'mock_up',
  'picture',
  'wheel_setup',
  'wheel_setup_state',
  'reading',
  'reading_mark',
  'sheet',
  'build_activity',
];

/** Every row of every table of records, bytes included, for comparing two books as a whole. */
export function wholeBook({ books }: Pick<BookSession, 'books'>): Record<string, unknown[]> {
  const { database } = books.book();
  return Object.fromEntries(
    tables.map((table) => {
      const rows = database.prepare(`SELECT * FROM ${table}`).all() as Record<string, unknown>[];
      const plain = rows.map((row) => JSON.stringify(row)).sort((first, second) => (first < second ? -1 : 1));
      return [table, plain];
    }),
  );
}

/** Text of one file of an unpacked zip. */
export function textIn(files: Partial<Record<string, Uint8Array>>, name: string): string {
  const bytes = files[name];
  if (bytes === undefined) throw new Error(`there is no ${name}`);
  return Buffer.from(bytes).toString();
}
