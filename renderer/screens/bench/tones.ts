import type { BenchEvent } from '../../state/bench-run.ts';

let context: AudioContext | null = null;

interface Note {
  readonly hz: number;
  readonly seconds: number;
}

/** Each answer differs in pitch and length, so that it is told apart through ear muffs. */
const tones: Readonly<Record<BenchEvent['kind'], readonly Note[]>> = {
  stamped: [{ hz: 880, seconds: 0.09 }],
  refused: [{ hz: 220, seconds: 0.3 }],
  taken_back: [
    { hz: 660, seconds: 0.08 },
    { hz: 440, seconds: 0.12 },
  ],
  given_back: [
    { hz: 440, seconds: 0.08 },
    { hz: 660, seconds: 0.12 },
  ],
};

export function playTone(kind: BenchEvent['kind']): void {
  play(tones[kind], 0.15);
}

/** One short, quieter tone of the approach to an edge. */
export function playPip(hz: number): void {
  play([{ hz, seconds: 0.05 }], 0.08);
}

function play(notes: readonly Note[], loudness: number): void {
  context ??= new AudioContext();
  void context.resume().catch(() => undefined);
  let at = context.currentTime;
  for (const { hz, seconds } of notes) {
    const oscillator = context.createOscillator();
    const gain = context.createGain();
    oscillator.frequency.value = hz;
    gain.gain.value = loudness;
    oscillator.connect(gain).connect(context.destination);
    oscillator.start(at);
    at += seconds;
    oscillator.stop(at);
  }
}
