import { join } from 'node:path';
import { expect, test } from 'vitest';
import { expectWholeSession, setUpAndGoToBench, withSessionBench } from '../support/session-bench.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';

const pictures = process.env['PORTSIGHT_SCREENSHOTS'];

test('steady hold alone stamps the whole session; its pauses, and hands at the stop, stamp nothing', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  await withSessionBench(
    async () => undefined,
    async (bench) => {
      const { page, host } = bench;
      // The recorded hands hold each place for 1.7 s; the default of 1.5 s would end with the dwell.
      await host.client.call('preferences.set', { key: 'steadyHold', value: true });
      await host.client.call('preferences.set', { key: 'steadyHoldSeconds', value: 0.8 });
      await page.reload();
      await page.waitForSelector('h1');
      await setUpAndGoToBench(bench);
      // From here on nobody touches the page. The last event ends with the video.
      await page
        .getByTestId('stamp')
        .nth(9)
        .waitFor({ timeout: 90_000 })
        .catch(() => undefined);
      await page.waitForTimeout(3000);
      if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'hands-free-hold.png') });
      expectWholeSession(
        await bench.whole(),
        Array.from({ length: 10 }, () => 'steady_hold'),
      );
      expect(bench.errors).toEqual([]);
    },
  );
}, 180_000);
