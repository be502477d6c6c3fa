import type { FrameLocator } from 'playwright-core';

/** How far, in px of the screen, each sheet of a preview is longer than its paper; 0 where it fits. */
export async function overlongPx(preview: FrameLocator): Promise<number[]> {
  return preview.locator('main.sheet').evaluateAll((sheets) => {
    const paper = getComputedStyle(document.documentElement).getPropertyValue('--paper-height');
    const paperPx = (Number.parseFloat(paper) * 96) / 25.4;
    return sheets.map((sheet) => Math.max(0, Math.round(sheet.getBoundingClientRect().height - paperPx)));
  });
}
