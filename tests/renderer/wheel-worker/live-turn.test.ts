import { expect, test } from 'vitest';
import type { TurnOutcome, WheelReader, WheelReading, WheelSetup } from '../../../core/wheel/types.ts';
import type { KeptFrame } from '../../../renderer/wheel-worker/kept-frames.ts';
import { LiveTurn, type TurnNews } from '../../../renderer/wheel-worker/live-turn.ts';

const reading = { accepted: true, rotationDeg: 0 } as WheelReading;
const setup = { kind: 'portsight-wheel-setup' } as WheelSetup;

/** A turn whose reader says how much is covered, with every fit that was sent off. */
function turnOf() {
  let arcDeg = 0;
  const fitted: number[] = [];
  const news: TurnNews[] = [];
  const reader = {
    startTurn: () => ({ kind: 'portsight-turn' }),
    addTurnFrame: () => ({
      arcCoveredDeg: arcDeg,
      sectorsCovered: [],
      framesUsed: 5,
      expectedSigmaDeg: null,
      sentence: '',
      reading,
    }),
    recordOfTurn: () => ({ kind: 'portsight-turn-record' }),
  } as unknown as WheelReader;
  const turn = new LiveTurn(
    reader,
    {
      async fit() {
        fitted.push(arcDeg);
        const outcome = { ok: true, setup, findings: { arcCoveredDeg: arcDeg } } as unknown as TurnOutcome;
        return { outcome, bytes: new Uint8Array(1) };
      },
      close: () => undefined,
    },
    setup,
  );
  const cover = async (deg: number): Promise<void> => {
    arcDeg = deg;
    turn.offer({ timeMs: 0 } as KeptFrame, 0.1, () => undefined);
    turn.fitWhenDue((one) => news.push(one));
    await new Promise((resolve) => setTimeout(resolve, 0));
  };
  return { cover, fitted, news };
}

test('a turn is fitted as soon as it is complete, whenever the first fit came, and again when it is whole', async () => {
  const { cover, fitted, news } = turnOf();
  for (let deg = 10; deg <= 360; deg += 3) await cover(deg);
  const [first = 0, complete = 0] = fitted;
  expect(first).toBeGreaterThanOrEqual(120);
  expect(first).toBeLessThan(124);
  expect(complete).toBeGreaterThanOrEqual(180);
  expect(complete).toBeLessThan(184);
  expect(fitted.at(-1)).toBeGreaterThanOrEqual(350);
  expect(news.map((one) => one.ok && one.isComplete)).toEqual(fitted.map((deg) => deg >= 180));
});

test('a crank that came round quickly before its first fit waits for no step of 60 degrees', async () => {
  const { cover, fitted } = turnOf();
  await cover(170);
  await cover(179);
  await cover(185);
  expect(fitted).toEqual([170, 185]);
});
