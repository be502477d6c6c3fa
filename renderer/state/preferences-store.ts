import { createStore, type StoreApi } from 'zustand/vanilla';
import type { Client } from '../../core/contract/client.ts';
import {
  initialPreferences,
  type PreferenceKey,
  type Preferences,
  preferenceKeys,
  preferenceList,
} from './preference-list.ts';
import { sentenceOf } from './sentence-of.ts';

export interface PreferencesState {
  readonly values: Preferences;
  /** Why the last change could not be kept; it still counts until the page is closed. */
  readonly failure: string | null;
}
export type PreferencesStore = StoreApi<PreferencesState>;

export function createPreferencesStore(values: Preferences = initialPreferences): PreferencesStore {
  return createStore<PreferencesState>(() => ({ values, failure: null }));
}

/** Takes over what was kept; an entry of an unknown shape falls back to its default instead of spoiling the rest. */
export function fromKept(kept: Readonly<Record<string, unknown>>): Preferences {
  const values: Record<string, unknown> = { ...initialPreferences };
  for (const key of preferenceKeys) {
    if (!Object.hasOwn(kept, key)) continue;
    const parsed = preferenceList[key].schema.safeParse(kept[key]);
    if (parsed.success) values[key] = parsed.data;
  }
  return values as unknown as Preferences;
}

export async function loadPreferences(client: Client, store: PreferencesStore): Promise<void> {
  try {
    store.setState({ values: fromKept(await client.call('preferences.get', {})), failure: null });
  } catch (error) {
    store.setState({ failure: sentenceOf(error) });
  }
}

/** Shows the change at once and keeps it; says so when it could not be kept. */
export async function setPreference<K extends PreferenceKey>(
  client: Client,
  store: PreferencesStore,
  key: K,
  value: Preferences[K],
): Promise<void> {
  const parsed = preferenceList[key].schema.safeParse(value);
  if (!parsed.success) {
    store.setState({
      failure: `${preferenceList[key].title}: ${parsed.error.issues[0]?.message ?? 'not a possible value.'}`,
    });
    return;
  }
  store.setState({ values: { ...store.getState().values, [key]: value }, failure: null });
  try {
    await client.call('preferences.set', { key, value });
  } catch (error) {
    store.setState({ failure: sentenceOf(error) });
  }
}
