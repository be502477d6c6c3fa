import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const axeScript = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

/** What axe finds wrong with the page as it stands: rule and element, each as one line. */
export async function accessibilityFaults(page: Page): Promise<string[]> {
  await page.evaluate(readFileSync(axeScript, 'utf8'));
  return page.evaluate<string[]>(
    '(async () => (await axe.run(document)).violations.map((one) => one.id + ": " + one.nodes[0].html))()',
  );
}
