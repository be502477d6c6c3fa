import { describe, expect, it } from 'vitest';
import { type MessageName, messageNames, messages } from '../../../core/contract/messages.ts';
import { openTestBook } from '../../support/book.ts';

const malformed: unknown[] = [
  undefined,
  null,
  0,
  'text',
  [],
  { id: 'not an id' },
  { id: 7, content: {} },
  { id: '../../etc/passwd' },
  { readingIds: [], mark: 'struck', reason: '' },
  { kind: 'engine', name: '', data: {} },
  { kind: 'gearbox', name: 'x', data: {} },
  { title: 'x'.repeat(201) },
  { key: '', value: 1 },
  { limit: 0, mockUpId: 5, kind: 'door', query: 4, input: 1 },
];

/** These take no input or an empty object; anything that is an object is good for them. */
function takesAnyObject(name: MessageName): boolean {
  const input = messages[name].input;
  return input.safeParse({}).success;
}

describe('every message', () => {
  it.each(messageNames)('%s refuses malformed input with a plain failure and never throws', async (name) => {
    const { dispatch, logged } = await openTestBook();
    for (const input of malformed) {
      const envelope = await dispatch(name, input);
      if (takesAnyObject(name) && typeof input === 'object' && input !== null && !Array.isArray(input)) continue;
      if (envelope.ok) {
        // What it accepted must have been within its schema, defaults filled in.
        expect(messages[name].input.safeParse(input).success).toBe(true);
        continue;
      }
      if (messages[name].input.safeParse(input).success) continue;
      expect(envelope.error.code).toBe('bad_input');
      expect(envelope.error.message.length).toBeGreaterThan(0);
    }
    expect(logged.filter((line) => line.startsWith('fault'))).toEqual([]);
  });

  it.each([
    'nothing.known',
    '',
    '__proto__',
    'constructor',
    'toString',
    42,
    null,
    undefined,
    { toString: () => 'app.info' },
  ])('that is unknown (%s) is refused', async (name) => {
    const { dispatch } = await openTestBook();
    expect(await dispatch(name, {})).toMatchObject({ ok: false, error: { code: 'unknown_message' } });
  });

  it('that is too large is refused by its schema', async () => {
    const { dispatch } = await openTestBook();
    const huge = 'A'.repeat(40_000_004);
    const id = '01900000-0000-7000-8000-000000000001';
    const envelope = await dispatch('reading.add', {
      reading: {},
      pictures: [{ id, mime: 'image/jpeg', widthPx: 1, heightPx: 1, bytes: huge }],
    });
    expect(envelope).toMatchObject({ ok: false, error: { code: 'bad_input' } });
    expect(
      await dispatch('sheet.keep', {
        mockUpId: null,
        kind: 'k',
        title: 't',
        html: 'x'.repeat(10_000_001),
        snapshot: null,
      }),
    ).toMatchObject({ ok: false, error: { code: 'bad_input', field: 'html' } });
  });
});
