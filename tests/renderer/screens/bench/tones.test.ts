import { afterEach, beforeEach, expect, test, vi } from 'vitest';

interface Sounded {
  readonly hz: number;
  readonly atS: number;
  readonly untilS: number;
  readonly loudness: number;
}

/** An AudioContext that writes down what it would have played. */
function silentAudio(played: Sounded[]) {
  return class {
    readonly currentTime = 5;
    readonly destination = {};
    resume = async (): Promise<void> => undefined;
    createGain = () => ({ gain: { value: 1 }, connect: (next: unknown) => next });
    createOscillator() {
      const oscillator = { frequency: { value: 0 }, gain: { gain: { value: 0 } }, startedAtS: 0 };
      return Object.assign(oscillator, {
        connect(gain: { gain: { value: number }; connect: (next: unknown) => unknown }) {
          oscillator.gain = gain;
          return gain;
        },
        start(atS: number) {
          oscillator.startedAtS = atS;
        },
        stop(untilS: number) {
          const loudness = oscillator.gain.gain.value;
          played.push({ hz: oscillator.frequency.value, atS: oscillator.startedAtS, untilS, loudness });
        },
      });
    }
  };
}

const played: Sounded[] = [];
beforeEach(() => {
  played.length = 0;
  vi.resetModules();
  vi.stubGlobal('AudioContext', silentAudio(played));
});
afterEach(() => vi.unstubAllGlobals());

/** Melody of a tone: its notes and their lengths. */
const melody = (): string => played.map(({ hz, atS, untilS }) => `${hz}/${(untilS - atS).toFixed(3)}`).join(' ');

test('every state and every answer has a tone of its own', async () => {
  const { playStateTone, playTone } = await import('../../../../renderer/screens/bench/tones.ts');
  const melodies: string[] = [];
  for (const kind of ['steady', 'turning', 'cannot_read', 'recheck_tdc'] as const) {
    played.length = 0;
    playStateTone(kind);
    melodies.push(melody());
  }
  for (const kind of ['stamped', 'refused', 'taken_back', 'given_back'] as const) {
    played.length = 0;
    playTone(kind);
    melodies.push(melody());
  }
  expect(new Set(melodies).size).toBe(8);
});

test('states are told more quietly than a stamp is answered, in less than half a second, note after note', async () => {
  const { playStateTone, playTone } = await import('../../../../renderer/screens/bench/tones.ts');
  playTone('stamped');
  const answer = played[0]?.loudness ?? 0;
  for (const kind of ['steady', 'turning', 'cannot_read', 'recheck_tdc'] as const) {
    played.length = 0;
    playStateTone(kind);
    expect(Math.max(...played.map(({ loudness }) => loudness))).toBeLessThan(answer / 2);
    expect((played.at(-1)?.untilS ?? 0) - (played[0]?.atS ?? 0)).toBeLessThan(0.5);
    for (const [index, note] of played.slice(1).entries()) expect(note.atS).toBeCloseTo(played[index]?.untilS ?? 0, 9);
  }
});
