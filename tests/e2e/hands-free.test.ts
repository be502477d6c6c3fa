import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { Signal } from '../../core/contract/readings.ts';
import { knockOnce, pressController, spokenSoFar, standInForHands, wakeLocksHeld } from '../support/bench-stand-ins.ts';
import { expectWholeSession, quietMockUp, setUpAndGoToBench, withSessionBench } from '../support/session-bench.ts';
import { missingBrowserReason, sessionDwells, untilFrame } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import { Sound, wavOf } from '../support/synthetic-sound.ts';

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
      const whole = await quietMockUp(() => bench.whole());
      if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'hands-free-hold.png') });
      expectWholeSession(
        whole,
        Array.from({ length: 10 }, () => 'steady_hold'),
      );
      expect(bench.errors).toEqual([]);
    },
  );
}, 180_000);

test('foot switch, game controller and knocks stamp the session; each takes back by its own double press', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  const knock = new Sound(0.5, 4).noise(0.001).knock(0.1, 0.8);
  await withSessionBench(
    (browser) => standInForHands(browser, wavOf(knock.samples)),
    async (bench) => {
      const { page, host, goTo } = bench;
      await goTo('#/preferences');
      await page.getByRole('button', { name: 'Foot switch: learn another key' }).click();
      await page.keyboard.press('F8');
      await page.getByText('F8', { exact: true }).waitFor();
      await page.getByRole('button', { name: 'Button of a game controller: learn another' }).click();
      await pressController(page);
      await page.getByText('Button 3', { exact: true }).waitFor();
      await host.client.call('preferences.set', { key: 'knock', value: true });
      await host.client.call('preferences.set', { key: 'voice', value: true });
      await page.reload();
      await page.waitForSelector('h1');
      await setUpAndGoToBench(bench);
      await page.getByText(/^Listening for knocks/).waitFor();
      await expect.poll(() => wakeLocksHeld(page)).toBe(1);

      const means: Partial<Record<Signal, () => Promise<void>>> = {
        foot_switch: () => page.keyboard.press('F8'),
        game_controller: () => pressController(page),
        knock: () => knockOnce(page),
      };
      const order: Signal[] = [
        ...(['foot_switch', 'foot_switch', 'knock', 'game_controller', 'foot_switch'] as const),
        ...(['knock', 'game_controller', 'foot_switch', 'knock', 'game_controller'] as const),
      ];
      const dwells = sessionDwells().filter(({ kind }) => kind !== 'reference');
      for (const [index, dwell] of dwells.entries()) {
        await untilFrame(page, dwell.start_frame + 6, dwell.end_frame - 4);
        await means[order[index] ?? 'key']?.();
        await page.getByTestId('stamp').nth(index).waitFor({ timeout: 3000 });
      }
      expectWholeSession(await quietMockUp(() => bench.whole()), order);
      const spoken = await spokenSoFar(page);
      expect(spoken).toHaveLength(10);
      expect(spoken[0]).toBe('Piston against the stop: taken. Next: Piston against the stop, turning backwards.');
      expect(spoken[2]).toMatch(/^Exhaust opens: 9\d\.\d after top\. Next: Transfers open, turning forwards\.$/);
      expect(spoken[9]).toMatch(/^Exhaust opens: 9\d\.\d after top\. All done\.$/);
      if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'hands-free-signals.png') });

      const struck = page.locator('[data-testid="stamp"][data-struck="true"]');
      for (const by of ['foot_switch', 'game_controller', 'knock'] as const) {
        // The first press stamps nothing more; the second one within half a second takes the last stamp back.
        if (by === 'game_controller') await pressController(page, 2);
        else {
          await means[by]?.();
          await page.waitForTimeout(250);
          await means[by]?.();
        }
        await struck.waitFor();
        expect(await struck.count(), by).toBe(1);
        await page.getByRole('button', { name: 'Give back' }).first().click();
        await struck.waitFor({ state: 'detached' });
        await page.waitForTimeout(700);
      }
      await goTo('#/');
      await expect.poll(() => wakeLocksHeld(page)).toBe(0);
      expect(bench.errors).toEqual([]);
    },
  );
}, 180_000);
