import type { PointerNews } from '../wheel-worker/pointer-watch.ts';

/** What is said of the marked pointer, and whether something has to be done about it. */
export function pointerText(news: PointerNews | null): { readonly sentence: string; readonly isTrouble: boolean } {
  switch (news?.state) {
    case undefined:
      return { sentence: 'The pointer is marked and watched.', isTrouble: false };
    case 'there':
      return { sentence: 'The pointer is watched: it is where it was marked.', isTrouble: false };
    case 'moved': {
      const way = news.shiftDeg > 0 ? 'clockwise' : 'anticlockwise';
      return {
        sentence: `The pointer has moved by about ${Math.abs(news.shiftDeg).toFixed(1)} degrees ${way} in the picture. Angles by camera are read from the wheel and still hold; the wheel’s own number and what is read by eye are off by that much. Put the pointer back, or enter what it shows now and mark it again. If the engine was hit, check TDC by the stop as well.`,
        isTrouble: true,
      };
    }
    case 'not_seen':
      return {
        sentence:
          'The pointer isn’t seen where it was marked: something is before it, or it was moved far. If it was moved, enter what it shows now and mark it again; angles by camera are read from the wheel and still hold.',
        isTrouble: true,
      };
  }
}
