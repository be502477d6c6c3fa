import { createContext, useContext, useSyncExternalStore } from 'react';
import { useStore } from 'zustand';
import type { Client } from '../../core/contract/client.ts';
import type { HostState, HostStore } from './host-info.ts';
import type { MockUpState, MockUpStore } from './mock-up-store.ts';
import type { Preferences } from './preference-list.ts';
import type { PreferencesStore } from './preferences-store.ts';
import { formatRoute, parseRoute, type Route } from './route.ts';

/** What every screen may use; made once at the start of the page, or by a test. */
export interface Services {
  readonly client: Client;
  readonly preferences: PreferencesStore;
  readonly host: HostStore;
}

export const ServicesContext = createContext<Services | null>(null);
export const MockUpContext = createContext<MockUpStore | null>(null);

export function useServices(): Services {
  const services = useContext(ServicesContext);
  if (services === null) throw new Error('A screen was drawn outside the page: ServicesContext is missing.');
  return services;
}

export function useClient(): Client {
  return useServices().client;
}

/** What the program behind the page is and has to say. */
export function useHost(): HostState {
  return useStore(useServices().host);
}

/** All preferences with their defaults filled in. */
export function usePreferences(): Preferences {
  return useStore(useServices().preferences, (state) => state.values);
}

export function useMockUpStore(): MockUpStore {
  const store = useContext(MockUpContext);
  if (store === null) throw new Error('A screen of a mock-up was drawn without one: MockUpContext is missing.');
  return store;
}

export function useMockUpState(): MockUpState {
  return useStore(useMockUpStore());
}

export function navigate(route: Route): void {
  window.location.hash = formatRoute(route);
}

export function useRoute(): Route {
  const hash = useSyncExternalStore(watchHash, () => window.location.hash);
  return parseRoute(hash);
}

function watchHash(listener: () => void): () => void {
  window.addEventListener('hashchange', listener);
  return () => window.removeEventListener('hashchange', listener);
}
