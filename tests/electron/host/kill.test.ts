import { join } from 'node:path';
import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { bookFileName } from '../../../electron/database/location.ts';
import { openBook } from '../../../electron/database/open.ts';
import { getPicture } from '../../../electron/database/pictures.ts';
import { readingsOf } from '../../../electron/database/readings.ts';
import { makeMockUp, onePixelJpeg, quantityReading } from '../../support/book.ts';
import { openSocket, pageFolder, startHostProcess } from '../../support/loopback.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

const rounds = 50;

describe('the host', () => {
  it(`killed straight after an acknowledged stamp, ${rounds} times over, has kept every stamp with its picture`, {
    timeout: 300_000,
  }, async () => {
    const folder = temporaryFolder();
    const page = pageFolder();
    const acknowledged: { readingId: string; pictureId: string }[] = [];
    let mockUpId = '';
    for (let round = 0; round < rounds; round += 1) {
      const host = await startHostProcess(folder, page);
      const { client, close } = await openSocket(host.url);
      if (round === 0) mockUpId = (await makeMockUp(client)).mockUp.id;
      const pictureId = v7();
      const reading = quantityReading(mockUpId, 0.3 + round / 1000, { pictureId });
      const stored = await client.call('reading.add', {
        reading,
        pictures: [{ id: pictureId, mime: 'image/jpeg', widthPx: 1, heightPx: 1, bytes: onePixelJpeg }],
      });
      await host.kill('SIGKILL');
      close();
      acknowledged.push({ readingId: stored.id, pictureId });
      const book = await openBook(join(folder, bookFileName));
      expect(book.readOnlyReason).toBeNull();
      const kept = readingsOf(book.read, mockUpId).map(({ id }) => id);
      expect(kept).toEqual(acknowledged.map(({ readingId }) => readingId));
      expect(getPicture(book.read, pictureId).bytes).toBe(onePixelJpeg);
      expect(book.database.pragma('integrity_check', { simple: true })).toBe('ok');
      book.close();
    }
    expect(acknowledged).toHaveLength(rounds);
  });

  it('that is told to end closes its book and gives the folder free', async () => {
    const folder = temporaryFolder();
    const page = pageFolder();
    const first = await startHostProcess(folder, page);
    await first.kill('SIGTERM');
    const second = await startHostProcess(folder, page);
    expect(second.url).not.toBe(first.url);
    await second.kill();
  });

  it('started twice on one folder names the first one instead of opening the book again', async () => {
    const folder = temporaryFolder();
    const page = pageFolder();
    const first = await startHostProcess(folder, page);
    const second = await startHostProcess(folder, page);
    expect(second.url).toBe(first.url);
    await new Promise<void>((resolve) => {
      if (second.child.exitCode !== null) resolve();
      else second.child.once('close', () => resolve());
    });
    const { client, close } = await openSocket(first.url);
    expect((await client.call('app.info', {})).readOnlyReason).toBeNull();
    close();
    await first.kill();
  });
});
