import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cameraStateText } from '../../../renderer/camera/camera-states.ts';
import { initialSight, type SightState } from '../../../renderer/state/bench-sight.ts';
import {
  type BenchStateKind,
  nothingTold,
  settleMs,
  stateWordOf,
  type ToldState,
  tellState,
} from '../../../renderer/state/bench-state-word.ts';

const kinds: readonly BenchStateKind[] = ['steady', 'turning', 'cannot_read', 'recheck_tdc'];

interface Change {
  readonly atMs: number;
  readonly kind: BenchStateKind;
}

/** What is heard of a course of states, with the time of each tone: called at each change and whenever it is due. */
function heard(changes: readonly Change[], untilMs: number): { kind: BenchStateKind; atMs: number }[] {
  const sounds: { kind: BenchStateKind; atMs: number }[] = [];
  let told: ToldState = nothingTold;
  for (const [index, { atMs, kind }] of changes.entries()) {
    const endMs = changes[index + 1]?.atMs ?? untilMs;
    for (let nowMs: number | null = atMs; nowMs !== null; ) {
      const { after, sound, dueMs }: ReturnType<typeof tellState> = tellState(told, kind, nowMs);
      told = after;
      if (sound !== null) sounds.push({ kind: sound, atMs: nowMs });
      // A call later than the next change never happens: that change comes first.
      nowMs = dueMs !== null && nowMs + dueMs < endMs ? nowMs + dueMs : null;
    }
  }
  return sounds;
}

describe('which state it is', () => {
  const source = { label: 'Camera', widthPx: 1280, heightPx: 720 };
  const running = { kind: 'running', source } as unknown as SightState['camera'];
  const setup = {} as NonNullable<SightState['setup']>;
  const live = (reading: object, motion: string): SightState['live'] =>
    ({ reading, motion }) as unknown as SightState['live'];
  const accepted = { accepted: true, provisional: false };

  test('no camera, no set-up and a refused frame are all "can’t read", each with its own remedy', () => {
    const off = stateWordOf(initialSight, 'TDC has drifted.');
    expect(off).toEqual({
      kind: 'cannot_read',
      line: `${cameraStateText({ kind: 'off' }).what} ${cameraStateText({ kind: 'off' }).remedy}`,
    });
    expect(stateWordOf({ camera: running, setup: null, live: null }, null)).toEqual({
      kind: 'cannot_read',
      line: 'The wheel is not set up yet.',
    });
    const refused = { accepted: false, reason: 'hand_over_rim' };
    expect(stateWordOf({ camera: running, setup, live: live(refused, 'unknown') }, 'TDC has drifted.')).toEqual({
      kind: 'cannot_read',
      line: 'Something covers too much of the rim. Take hand, rag or tool off the ring; a third of it may stay covered.',
    });
  });

  test('a question about TDC comes before motion; else the crank turns or is steady', () => {
    const turning = { camera: running, setup, live: live(accepted, 'turning') };
    expect(stateWordOf(turning, 'TDC has drifted.')).toEqual({ kind: 'recheck_tdc', line: 'TDC has drifted.' });
    expect(stateWordOf(turning, null)).toEqual({ kind: 'turning', line: '' });
    const provisional = live({ accepted: true, provisional: true }, 'steady');
    expect(stateWordOf({ camera: running, setup, live: provisional }, null)).toEqual({
      kind: 'steady',
      line: 'Provisional until the crank has been turned once.',
    });
  });
});

describe('which changes are told by tone', () => {
  test('the state that the bench is entered with is not told', () => {
    for (const kind of kinds) expect(heard([{ atMs: 0, kind }], 60_000)).toEqual([]);
  });

  test('a state is told once, when it has held for its time', () => {
    const changes: Change[] = [
      { atMs: 0, kind: 'steady' },
      { atMs: 1000, kind: 'turning' },
      { atMs: 5000, kind: 'steady' },
    ];
    expect(heard(changes, 60_000)).toEqual([
      { kind: 'turning', atMs: 1000 + settleMs.turning },
      { kind: 'steady', atMs: 5000 + settleMs.steady },
    ]);
  });

  test('a frame that is lost now and then is not told, nor is coming back from it', () => {
    const flicker = Array.from({ length: 100 }, (_, index): Change[] => [
      { atMs: index * 300, kind: 'steady' },
      { atMs: index * 300 + 40, kind: 'cannot_read' },
    ]).flat();
    expect(heard([...flicker, { atMs: 30_000, kind: 'steady' }], 60_000)).toEqual([]);
  });

  test('a state that is interrupted begins to settle anew', () => {
    const changes: Change[] = [
      { atMs: 0, kind: 'steady' },
      { atMs: 1000, kind: 'cannot_read' },
      { atMs: 1500, kind: 'turning' },
      { atMs: 1510, kind: 'cannot_read' },
    ];
    expect(heard(changes, 60_000)).toEqual([{ kind: 'cannot_read', atMs: 1510 + settleMs.cannot_read }]);
  });

  test('whatever the course: neighbouring tones differ, each state told had held, and none that lasts is passed over', () => {
    const course = fc.array(
      fc.record({ afterMs: fc.integer({ min: 1, max: 2000 }), kind: fc.constantFrom(...kinds) }),
      {
        minLength: 1,
        maxLength: 40,
      },
    );
    fc.assert(
      fc.property(course, (steps) => {
        let atMs = 0;
        const changes: Change[] = [];
        for (const { afterMs, kind } of steps) {
          // A store tells changes only: the same state again is none.
          if (changes.at(-1)?.kind !== kind) changes.push({ atMs, kind });
          atMs += afterMs;
        }
        const endMs = atMs + 10_000;
        const sounds = heard(changes, endMs);
        const entered = changes[0]?.kind;
        for (const [index, sound] of sounds.entries()) {
          expect(sound.kind).not.toBe(index === 0 ? entered : sounds[index - 1]?.kind);
          const change = changes.findLast((one) => one.atMs <= sound.atMs);
          expect(change?.kind).toBe(sound.kind);
          expect(sound.atMs - (change?.atMs ?? 0)).toBeGreaterThanOrEqual(settleMs[sound.kind]);
        }
        // The last state holds to the end, so it is the one that was told last.
        expect(sounds.at(-1)?.kind ?? entered).toBe(changes.at(-1)?.kind);
      }),
    );
  });
});
