import { expect, test } from 'vitest';
import type { CameraAngle } from '../../core/contract/readings.ts';
import { joinStamps } from '../../core/mockup/stamps.ts';
import { wrapSigned } from '../../core/units.ts';
import { quietMockUp } from '../support/session-bench.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import { withCameras } from '../support/stand-in-camera.ts';
import { quickTurn, setUpWithTurn, Workshop } from '../support/workshop.ts';

/** A movement of the session between two holds, 40 degrees in a second; in its middle the crank goes 5 degrees a picture. */
const movement = { from: 290, middle: 302, to: 314 } as const;

test('a signal while the crank turns is placed between the pictures beside it and says how uncertain that is; without a picture after it, it is refused', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  const day = await new Workshop().newDay(quickTurn.from);
  const { page, crank } = day;
  try {
    await setUpWithTurn(day);
    await crank.jumpTo(movement.from);
    await page.getByTestId('state-word').getByText('Steady').waitFor();
    const turned = crank.turnEvenlyTo(movement.to);
    await crank.comesThrough(movement.middle);
    await page.keyboard.press('Space');
    await turned;
    const stamp = page.getByTestId('stamp');
    await stamp.getByText('stamped while the crank turned').waitFor();
    await page.getByText('The crank was turning at the signal').waitFor();
    await day.shot('turning-stamp');

    const { current, history } = joinStamps((await quietMockUp(day.whole)).readings, [])[0] ?? {};
    const stored = current?.subject.what === 'quantity' ? null : current?.subject.angle;
    if (stored?.by !== 'camera') throw new Error('the stamp has no camera angle');
    const { turnedDeg, sigmaDeg } = stored.movement ?? { turnedDeg: Number.NaN, sigmaDeg: Number.NaN };
    console.log(
      `${history?.length} values; ${turnedDeg.toFixed(2)} deg on from its picture, u ${sigmaDeg.toFixed(2)} deg`,
    );
    expect(sigmaDeg).toBeGreaterThan(0.05);
    expect(stored.sigmaDeg).toBeGreaterThan(sigmaDeg);

    // The picture by itself shows the crank where it was then; read again it still gives the place at the signal.
    await page.getByRole('button', { name: /^Open the picture/ }).click();
    await page.getByRole('button', { name: 'Read it again' }).click();
    await page.getByRole('button', { name: 'Use this value' }).waitFor();
    await day.shot('turning-stamp-picture');
    await page.getByRole('button', { name: 'Use this value' }).click();
    await stamp.getByText('Read again from its kept picture').waitFor();
    const again = joinStamps((await quietMockUp(day.whole)).readings, [])[0]?.current.subject;
    const read = again?.what === 'quantity' ? null : (again?.angle as CameraAngle);
    expect(Math.abs(wrapSigned((read?.rotationDeg ?? Number.NaN) - stored.rotationDeg))).toBeLessThan(0.05);
    expect(read?.movement).toEqual(stored.movement);
    expect(read?.sigmaDeg).toBeGreaterThan(sigmaDeg);

    // The camera falls silent while the crank turns.
    await crank.jumpTo(movement.from);
    await page.getByTestId('state-word').getByText('Steady').waitFor();
    await crank.turnEvenlyTo(movement.middle);
    await withCameras(page, (cameras) => {
      cameras.sendsNothing = true;
    });
    await page.keyboard.press('Space');
    await page.getByText('Not stamped. The camera gave no picture at the moment of the signal.').waitFor();
    await day.shot('turning-stamp-no-picture');
    expect(await stamp.count()).toBe(1);
    expect(day.errors).toEqual([]);
  } finally {
    await day.end();
  }
}, 120_000);
