import fontUrl from '@fontsource-variable/inter/files/inter-latin-wght-normal.woff2?url';

let kept: Promise<string | null> | null = null;

/** The typeface as base64, fetched once from the program itself; null where it can't be had. */
export function sheetFont(): Promise<string | null> {
  kept ??= fetchFont();
  return kept;
}

async function fetchFont(): Promise<string | null> {
  try {
    const response = await fetch(fontUrl);
    if (!response.ok) return null;
    const bytes = new Uint8Array(await response.arrayBuffer());
    let text = '';
    // In pieces: an argument list of 50,000 numbers overflows the stack of some builds.
    for (let at = 0; at < bytes.length; at += 8192) text += String.fromCharCode(...bytes.subarray(at, at + 8192));
    return btoa(text);
  } catch (error) {
    console.warn('The typeface could not be put into the sheet; it is printed in a system face:', error);
    return null;
  }
}
