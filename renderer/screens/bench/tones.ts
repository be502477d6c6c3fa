import type { BenchEvent } from '../../state/bench-run.ts';
import type { BenchStateKind } from '../../state/bench-state-word.ts';

let context: AudioContext | null = null;

interface Note {
  readonly hz: number;
  readonly seconds: number;
}

/** Each answer differs in pitch and length, so that it is told apart through ear muffs. */
const answers: Readonly<Record<BenchEvent['kind'], readonly Note[]>> = {
  stamped: [{ hz: 880, seconds: 0.09 }],
  refused: [{ hz: 220, seconds: 0.3 }],
  taken_back: [
    { hz: 660, seconds: 0.08 },
    { hz: 440, seconds: 0.12 },
  ],
  // As a stamp that is taken back, and lower once more: it took many.
  move_taken_back: [
    { hz: 660, seconds: 0.08 },
    { hz: 440, seconds: 0.12 },
    { hz: 330, seconds: 0.12 },
  ],
  given_back: [
    { hz: 440, seconds: 0.08 },
    { hz: 660, seconds: 0.12 },
  ],
};

/** States differ from each other and from the answers by their number of notes and by where these go. */
const states: Readonly<Record<BenchStateKind, readonly Note[]>> = {
  steady: [{ hz: 523, seconds: 0.14 }],
  turning: [
    { hz: 392, seconds: 0.05 },
    { hz: 523, seconds: 0.05 },
    { hz: 659, seconds: 0.05 },
  ],
  cannot_read: [
    { hz: 330, seconds: 0.09 },
    { hz: 262, seconds: 0.09 },
    { hz: 196, seconds: 0.16 },
  ],
  recheck_tdc: [
    { hz: 587, seconds: 0.12 },
    { hz: 294, seconds: 0.12 },
    { hz: 587, seconds: 0.12 },
    { hz: 294, seconds: 0.12 },
  ],
};

export function playTone(kind: BenchEvent['kind']): void {
  play(answers[kind], 0.15);
}

/** Quieter than the answers: it comes unasked, beside the work. */
export function playStateTone(kind: BenchStateKind): void {
  play(states[kind], 0.06);
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
