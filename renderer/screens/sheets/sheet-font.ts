import fontUrl from '@fontsource-variable/inter/files/inter-latin-wght-normal.woff2?url';
import { useEffect, useState } from 'react';

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

/** The typeface for a sheet; undefined while it is on its way (a page without it would jump), null where it can't be had. */
export function useSheetFont(): string | null | undefined {
  const [font, setFont] = useState<string | null | undefined>(undefined);
  useEffect(() => {
    sheetFont()
      .then(setFont)
      .catch(() => setFont(null));
  }, []);
  return font;
}
