import { expect, test } from 'vitest';
import { openTestBook } from '../../support/book.ts';

test('the host draws the wheel that the page asks for', async () => {
  const { client } = await openTestBook();
  const { fileName, bytes } = await client.call('wheelSheet.make', {
    paper: 'a3',
    diameterMm: 240,
    boreMm: 12,
    grows: 'anticlockwise',
  });
  expect(fileName).toBe('Degree wheel 240 mm A3 anticlockwise.pdf');
  const text = Buffer.from(bytes, 'base64').toString('latin1');
  expect(text.startsWith('%PDF-')).toBe(true);
  expect(text).toContain('Degree wheel 240 mm, hole 12 mm, numbers growing anticlockwise');
});

test('a wheel that the paper does not take is refused with the range', async () => {
  const { client } = await openTestBook();
  await expect(
    client.call('wheelSheet.make', { paper: 'letter', diameterMm: 300, boreMm: 10, grows: 'clockwise' }),
  ).rejects.toMatchObject({ code: 'out_of_range', message: expect.stringContaining('from 90 to 194 mm') });
});
