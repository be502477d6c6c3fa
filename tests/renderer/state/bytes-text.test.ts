import fc from 'fast-check';
import { expect, test } from 'vitest';
import { fromBase64, fromBase64ByCharacter, toBase64, toBase64InPieces } from '../../../renderer/state/bytes-text.ts';

test('both ways of writing bytes as text and back agree with base64 of RFC 4648, over the edges of the pieces too', () => {
  for (const length of [0, 1, 2, 3, 0x7fff, 0x8000, 0x8001, 100_000]) {
    const bytes = Uint8Array.from({ length }, (_, at) => (at * 7 + (at >> 8)) & 255);
    const text = Buffer.from(bytes).toString('base64');
    expect(toBase64(bytes)).toBe(text);
    expect(toBase64InPieces(bytes)).toBe(text);
    expect(fromBase64(text)).toEqual(bytes);
    expect(fromBase64ByCharacter(text)).toEqual(bytes);
  }
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => {
      expect(fromBase64ByCharacter(toBase64InPieces(bytes))).toEqual(bytes);
    }),
  );
});
