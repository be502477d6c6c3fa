import type { Signal } from '../../core/contract/readings.ts';
import { listenForKnocks, type MicrophoneState } from '../microphone/microphone.ts';
import { noPress, press } from './bench-press.ts';
import type { Run } from './bench-run-effects.ts';
import { nowMsOfPage } from './page-clock.ts';
import type { PreferencesStore } from './preferences-store.ts';

/** A means of signalling by presses: one press stamps, a double press by the same means takes back. */
export function pressedBy(run: Run, preferences: PreferencesStore): (by: Signal, atMs: number) => void {
  let state = noPress;
  return (by, atMs) => {
    const { debounceMilliseconds, doublePressSeconds } = preferences.getState().values;
    const next = press(state, atMs, { debounceMs: debounceMilliseconds, doublePressMs: doublePressSeconds * 1000 });
    state = next.state;
    if (next.meaning === 'stamp') run.signal(by, atMs);
    else if (next.meaning === 'take_back') run.takeBackByDoublePress();
  };
}

/** Keyboard and foot switch: stamp keys stamp wherever the focus is, but in a field that is typed in. @returns ends it */
export function watchKeys(
  run: Run,
  preferences: PreferencesStore,
  isTyping: (target: EventTarget | null) => boolean,
): () => void {
  const pressed = pressedBy(run, preferences);
  function onKey(event: KeyboardEvent): void {
    if (event.repeat || event.ctrlKey || event.altKey || event.metaKey || isTyping(event.target)) return;
    const { stampKey, footSwitchKey, undoKey } = preferences.getState().values;
    if (event.code === stampKey || event.code === footSwitchKey) {
      event.preventDefault();
      pressed(event.code === footSwitchKey ? 'foot_switch' : 'key', performance.timeOrigin + event.timeStamp);
    } else if (event.code === undoKey) {
      event.preventDefault();
      if (event.shiftKey) run.giveBack();
      else run.takeBack();
    }
  }
  window.addEventListener('keydown', onKey);
  return () => window.removeEventListener('keydown', onKey);
}

const gamepadPollMs = 10;

/**
 * A game controller's button. It is looked at, not heard: on a busy page a look may come late, so a press counts from the
 * time that the controller itself gives, where that lies between the last look and this one.
 * @returns ends the watch
 */
export function watchGameController(run: Run, preferences: PreferencesStore): () => void {
  const pressed = pressedBy(run, preferences);
  let wasDown = false;
  let lookedAtMs = nowMsOfPage();
  const timer = setInterval(() => {
    const { gameControllerButton } = preferences.getState().values;
    const nowMs = nowMsOfPage();
    const down = navigator.getGamepads().find((pad) => pad?.buttons[gameControllerButton]?.pressed === true) ?? null;
    if (down !== null && !wasDown) {
      const changedAtMs = performance.timeOrigin + down.timestamp;
      const isBetweenLooks = changedAtMs > lookedAtMs && changedAtMs < nowMs;
      pressed('game_controller', isBetweenLooks ? changedAtMs : nowMs);
    }
    wasDown = down !== null;
    lookedAtMs = nowMs;
  }, gamepadPollMs);
  return () => clearInterval(timer);
}

/** Knocks, where they are switched on; a change of the preferences begins to listen anew. @returns ends the watch */
export function watchKnocks(
  run: Run,
  preferences: PreferencesStore,
  told: (state: MicrophoneState) => void,
): () => void {
  const pressed = pressedBy(run, preferences);
  const media = (navigator as { mediaDevices?: MediaDevices }).mediaDevices ?? null;
  let end: (() => void) | null = null;
  let listened = '';
  function follow(): void {
    const { knock, knockLevel } = preferences.getState().values;
    const wanted = knock ? String(knockLevel) : '';
    if (wanted === listened) return;
    listened = wanted;
    end?.();
    end = knock ? listenForKnocks(media, knockLevel, { state: told, knock: (atMs) => pressed('knock', atMs) }) : null;
    if (!knock) told({ kind: 'off' });
  }
  follow();
  const unsubscribe = preferences.subscribe(follow);
  return () => {
    unsubscribe();
    end?.();
  };
}
