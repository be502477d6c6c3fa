import type { Port } from '../../core/contract/parts.ts';
import { wantedSentence } from '../../core/mockup/run-order.ts';
import { quotedCrank } from './bench-angle.ts';
import type { BenchEvent, BenchWanted } from './bench-run.ts';

/** What the voice needs to know besides what happened. */
export interface SpokenContext {
  readonly ports: readonly Port[];
  /** Crank angle of what was stamped, or null while TDC isn't known. */
  readonly crankDeg: number | null;
  readonly next: BenchWanted | null;
}

/** Short, since it is heard over a compressor: what was taken, its angle, what comes next. */
export function phraseOf(event: BenchEvent, { ports, crankDeg, next }: SpokenContext): string {
  switch (event.kind) {
    case 'stamped': {
      const taken = nameOf(event.wanted, ports);
      const angle = crankDeg === null ? 'taken' : spokenAngle(crankDeg);
      return `${taken}: ${angle}. ${next === null ? 'All done.' : `Next: ${sentenceOfWanted(next, ports)}.`}`;
    }
    case 'refused':
      return event.notice.sentence;
    case 'taken_back':
      return 'Taken back.';
    case 'move_taken_back':
      return 'Wheel moved: taken back.';
    case 'given_back':
      return 'Given back.';
  }
}

/** "118.5 after top". */
export function spokenAngle(crankDeg: number): string {
  const { figure, side } = quotedCrank(crankDeg, 1);
  return `${figure} ${side === 'ATDC' ? 'after' : 'before'} top`;
}

function nameOf(wanted: BenchWanted, ports: readonly Port[]): string {
  return sentenceOfWanted(wanted, ports).replace(/, turning (forwards|backwards)$/, '');
}

function sentenceOfWanted(wanted: BenchWanted, ports: readonly Port[]): string {
  return wanted.what === 'tdc_check' ? `check of TDC, turning ${wanted.turning}` : wantedSentence(wanted, ports);
}

/** Whether this system can speak at all; lists of voices may come late. */
export function hasVoice(): boolean {
  return typeof speechSynthesis !== 'undefined' && speechSynthesis.getVoices().length > 0;
}

/** @returns ends the watch */
export function watchVoices(told: (isThere: boolean) => void): () => void {
  if (typeof speechSynthesis === 'undefined') {
    told(false);
    return () => undefined;
  }
  const ask = (): void => told(hasVoice());
  ask();
  speechSynthesis.addEventListener('voiceschanged', ask);
  return () => speechSynthesis.removeEventListener('voiceschanged', ask);
}

/** Reads a sentence aloud by the system's voice, where it has one; a newer one replaces what is still being said. */
export function speak(sentence: string, rate: number): void {
  if (typeof speechSynthesis === 'undefined') return;
  speechSynthesis.cancel();
  const utterance = new SpeechSynthesisUtterance(sentence);
  utterance.rate = rate;
  speechSynthesis.speak(utterance);
}
