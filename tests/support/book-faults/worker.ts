import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { v7 } from 'uuid';
import { seededRandom } from '../archive-mutations.ts';
import { onePixelJpeg, quantityReading } from '../book-records.ts';
import { openBookSession } from '../book-session.ts';
import { importBytes } from '../books.ts';

/**
 * Works on a book at random until it is killed, and tells each step only after it was acknowledged:
 * `node worker.ts FOLDER ARCHIVES SEED STEPS`. One JSON line a step on the standard output.
 */
const [folder = '', archives = '', seed = '1', steps = '0'] = process.argv.slice(2);
const random = seededRandom(Number(seed));
const pick = <T>(values: readonly T[]): T => values[Math.floor(random() * values.length)] as T;
const { client, books } = await openBookSession(folder);
const mockUps = (await client.call('mockUp.list', {})).map(({ id }) => id);
const archiveNames = readdirSync(archives);
const stamped: string[] = [];

function tell(acknowledged: Record<string, unknown>): Promise<void> {
  return new Promise((resolve) => process.stdout.write(`${JSON.stringify(acknowledged)}\n`, () => resolve()));
}

try {
  for (let step = 0; step < Number(steps); step += 1) {
    const draw = random();
    if (draw < 0.68 || stamped.length === 0) {
      const pictureId = v7();
      const value = Math.round(random() * 1e6) / 1000;
      const reading = await client.call('reading.add', {
        reading: quantityReading(pick(mockUps), value, { pictureId }),
        pictures: [{ id: pictureId, mime: 'image/jpeg', widthPx: 1, heightPx: 1, bytes: onePixelJpeg }],
      });
      stamped.push(reading.id);
      await tell({ what: 'stamp', id: reading.id, value });
    } else if (draw < 0.88) {
      const [mark] = await client.call('reading.mark', { readingIds: [pick(stamped)], mark: 'struck', reason: 'undo' });
      await tell({ what: 'undo', id: mark?.id });
    } else if (draw < 0.95 && archiveNames.length > 0) {
      const name = pick(archiveNames);
      await importBytes(client, readFileSync(join(archives, name)));
      await tell({ what: 'import', id: name.replace('.zip', '') });
    } else {
      const { name } = await client.call('backup.make', {});
      await tell({ what: 'backup', id: name });
    }
  }
} catch (error) {
  await tell({ what: 'refused', code: (error as { code?: string }).code ?? String(error) });
}
books.close();
