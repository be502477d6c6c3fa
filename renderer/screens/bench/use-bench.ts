import { useEffect } from 'react';
import { placedAngle } from '../../../core/mockup/edge-readings.ts';
import { wrapTurn } from '../../../core/units.ts';
import type { MicrophoneState } from '../../microphone/microphone.ts';
import { isTyping } from '../../parts/keyboard.ts';
import { tdcOfSetup, wholeAtBench } from '../../state/bench-angle.ts';
import { watchSteadyHold } from '../../state/bench-hold-effects.ts';
import type { BenchEvent } from '../../state/bench-run.ts';
import { portsOf, stampsOf, wantedNow } from '../../state/bench-run.ts';
import type { BenchSession } from '../../state/bench-session.ts';
import { watchGameController, watchKeys, watchKnocks } from '../../state/bench-signals.ts';
import { phraseOf, speak } from '../../state/bench-voice.ts';
import type { MockUpStore } from '../../state/mock-up-store.ts';
import type { PreferencesStore } from '../../state/preferences-store.ts';
import { playTone } from './tones.ts';

/** Every means of signalling, while the bench is shown. */
export function useBenchSignals(
  { sight, run }: BenchSession,
  mockUp: MockUpStore,
  preferences: PreferencesStore,
  onMicrophone: (state: MicrophoneState) => void,
): void {
  useEffect(() => {
    const ends = [
      watchKeys(run, preferences, isTyping),
      watchGameController(run, preferences),
      watchKnocks(run, preferences, onMicrophone),
      watchSteadyHold(sight, run, mockUp, preferences),
    ];
    return () => {
      for (const end of ends) end();
    };
  }, [sight, run, mockUp, preferences, onMicrophone]);
}

/** Tone and voice after each stamp. */
export function useBenchAnswers(session: BenchSession, mockUp: MockUpStore, preferences: PreferencesStore): void {
  useEffect(
    () =>
      session.listen((event) => {
        const { tones, voice, voiceRate } = preferences.getState().values;
        if (tones) playTone(event.kind);
        if (voice) speak(phraseNow(event, session, mockUp), voiceRate);
      }),
    [session, mockUp, preferences],
  );
}

function phraseNow(event: BenchEvent, { run, sight }: BenchSession, mockUp: MockUpStore): string {
  const { whole } = mockUp.getState();
  if (whole === null) return phraseOf(event, { ports: [], crankDeg: null, next: null });
  const state = run.store.getState();
  const next = wantedNow(whole, state, sight.store.getState().setup);
  const ports = portsOf(whole);
  if (event.kind !== 'stamped' || event.reading.subject.what === 'quantity') {
    return phraseOf(event, { ports, crankDeg: null, next });
  }
  const { angle } = event.reading.subject;
  const atBench = wholeAtBench(whole, state, sight.store.getState().setup);
  const tdcDeg = tdcOfSetup(atBench, stampsOf(whole, state), angle.setupId);
  const placed = placedAngle(angle, atBench.setups);
  const crankDeg = tdcDeg === null || placed === null ? null : wrapTurn(placed.read.angleDeg - tdcDeg);
  return phraseOf(event, { ports, crankDeg, next });
}

/** Awake while the bench is shown: nobody can touch the laptop with oily gloves. */
export function useScreenAwake(): void {
  useEffect(() => {
    let lock: WakeLockSentinel | null = null;
    let isOver = false;
    const ask = (): void => {
      if (document.visibilityState !== 'visible') return;
      void navigator.wakeLock
        ?.request('screen')
        .then((given) => {
          if (isOver) void given.release();
          else lock = given;
        })
        .catch(() => undefined);
    };
    ask();
    document.addEventListener('visibilitychange', ask);
    return () => {
      isOver = true;
      document.removeEventListener('visibilitychange', ask);
      void lock?.release();
    };
  }, []);
}
