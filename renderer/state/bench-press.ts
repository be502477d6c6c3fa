/** What one press of a signal means. */
export type PressMeaning = 'stamp' | 'take_back' | 'bounce';

export interface PressState {
  readonly lastPressMs: number;
  /** The press before it counted as a stamp; a third quick press begins anew. */
  readonly lastWasStamp: boolean;
}

export const noPress: PressState = { lastPressMs: -Infinity, lastWasStamp: false };

/**
 * Press = stamp at once; a second press within the double-press time = take back. Contacts that bounce are one press.
 * The first press of the two has stamped already (nothing may wait for a second one), so whoever acts on `take_back`
 * takes that one back too.
 * @param pressedAtMs time of the press, any clock that only goes forwards
 */
export function press(
  state: PressState,
  pressedAtMs: number,
  settings: { readonly debounceMs: number; readonly doublePressMs: number },
): { readonly state: PressState; readonly meaning: PressMeaning } {
  const sinceMs = pressedAtMs - state.lastPressMs;
  if (sinceMs < settings.debounceMs) return { state, meaning: 'bounce' };
  if (state.lastWasStamp && sinceMs <= settings.doublePressMs) {
    return { state: { lastPressMs: pressedAtMs, lastWasStamp: false }, meaning: 'take_back' };
  }
  return { state: { lastPressMs: pressedAtMs, lastWasStamp: true }, meaning: 'stamp' };
}
