import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { makeMockUp, onePixelJpeg, openTestBook, quantityReading } from '../../support/book.ts';

describe('raw records', () => {
  it.each(['reading', 'reading_mark', 'picture', 'wheel_setup', 'wheel_setup_state', 'change_log'])(
    'of the table %s can be neither changed nor deleted, whoever tries',
    async (table) => {
      const { client, books } = await openTestBook();
      const { mockUp } = await makeMockUp(client);
      const pictureId = v7();
      const reading = await client.call('reading.add', {
        reading: quantityReading(mockUp.id, 0.31, { pictureId }),
        pictures: [{ id: pictureId, mime: 'image/jpeg', widthPx: 1, heightPx: 1, bytes: onePixelJpeg }],
      });
      await client.call('reading.mark', { readingIds: [reading.id], mark: 'struck', reason: 'slipped' });
      await client.call('setup.create', { id: v7(), content: { mockUpId: mockUp.id, forwards: null, by: 'camera' } });
      const { database } = books.book();
      const count = () => (database.prepare(`SELECT count(*) AS n FROM ${table}`).get() as { n: number }).n;
      const before = count();
      expect(before).toBeGreaterThan(0);
      expect(() => database.exec(`UPDATE ${table} SET check_sum = 0`)).toThrow(/append-only/);
      expect(() => database.exec(`DELETE FROM ${table}`)).toThrow(/append-only/);
      expect(count()).toBe(before);
    },
  );
});
