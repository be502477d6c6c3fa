/**
 * A title as part of a file name that every platform accepts.
 * @param fallback stands where nothing usable is left of the title
 */
export function plainFileName(title: string, fallback: string): string {
  const plain = title
    .normalize('NFC')
    .replaceAll(/[^\p{L}\p{N}._ -]+/gu, ' ')
    .replaceAll(/\s+/g, ' ')
    .trim()
    .replace(/^[. ]+|[. ]+$/g, '')
    .slice(0, 80);
  return plain === '' ? fallback : plain;
}
