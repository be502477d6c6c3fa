import { useEffect, useRef } from 'react';
import {
  type BenchStateKind,
  type BenchStateWord,
  nothingTold,
  type ToldState,
  tellState,
} from '../../state/bench-state-word.ts';
import { playStateTone } from './tones.ts';

const looks: Readonly<Record<BenchStateKind, { readonly shape: string; readonly word: string }>> = {
  steady: { shape: '●', word: 'Steady' },
  turning: { shape: '◐', word: 'Turning' },
  cannot_read: { shape: '✕', word: 'Can’t read' },
  recheck_tdc: { shape: '▲', word: 'Re-check TDC' },
};

/** The one state word: a shape, the word, a line that says what to do, and a quiet tone at a change that lasts. */
export function StateWord({ state, hasTones }: { state: BenchStateWord; hasTones: boolean }) {
  useStateTones(state.kind, hasTones);
  const { shape, word } = looks[state.kind];
  return (
    <p className="bench-state" role="status" data-testid="state-word">
      <span aria-hidden="true">{shape}</span> <strong>{word}</strong> <small>{state.line}</small>
    </p>
  );
}

function useStateTones(kind: BenchStateKind, hasTones: boolean): void {
  const told = useRef<ToldState>(nothingTold);
  const isOn = useRef(hasTones);
  isOn.current = hasTones;
  useEffect(() => {
    let timer = 0;
    const tell = (): void => {
      const { after, sound, dueMs } = tellState(told.current, kind, performance.now());
      told.current = after;
      // Followed while the tones are off too: switching them on tells no old news.
      if (sound !== null && isOn.current) playStateTone(sound);
      if (dueMs !== null) timer = window.setTimeout(tell, dueMs);
    };
    tell();
    return () => window.clearTimeout(timer);
  }, [kind]);
}
