import type { BenchEvent } from '../../state/bench-run-effects.ts';

let context: AudioContext | null = null;

/** Each answer differs in pitch and length, so that it is told apart through ear muffs. */
const tones: Readonly<Record<BenchEvent['kind'], readonly { readonly hz: number; readonly seconds: number }[]>> = {
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
  context ??= new AudioContext();
  void context.resume().catch(() => undefined);
  let at = context.currentTime;
  for (const { hz, seconds } of tones[kind]) {
    const oscillator = context.createOscillator();
    const gain = context.createGain();
    oscillator.frequency.value = hz;
    gain.gain.value = 0.15;
    oscillator.connect(gain).connect(context.destination);
    oscillator.start(at);
    at += seconds;
    oscillator.stop(at);
  }
}
