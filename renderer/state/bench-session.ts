import type { Client } from '../../core/contract/client.ts';
import { makeWorker } from '../wheel-worker/worker-link.ts';
import type { BenchEvent } from './bench-run.ts';
import { createRun, type Run } from './bench-run-effects.ts';
import { createSight, type Sight } from './bench-sight-effects.ts';
import type { MockUpStore } from './mock-up-store.ts';
import { createOutbox, type Outbox } from './outbox.ts';
import type { PreferencesStore } from './preferences-store.ts';
import { parseRoute } from './route.ts';
import { createSecondCamera, type SecondCamera } from './second-camera.ts';

/** One sitting at one mock-up: set-up and bench share it, so that camera and readings go on from screen to screen. */
export interface BenchSession {
  readonly sight: Sight;
  readonly run: Run;
  readonly outbox: Outbox;
  readonly second: SecondCamera;
  listen(listener: (event: BenchEvent) => void): () => void;
  close(): void;
}

let open: { readonly mockUp: MockUpStore; readonly session: BenchSession } | null = null;

/** The sitting of this mock-up; one of another mock-up is closed first, since there is one camera. */
export function benchSession(client: Client, preferences: PreferencesStore, mockUp: MockUpStore): BenchSession {
  if (open?.mockUp === mockUp) return open.session;
  open?.session.close();
  const session = createBenchSession(client, preferences, mockUp);
  open = { mockUp, session };
  return session;
}

/** Ends the sitting, if there is one: the camera goes off. */
export function closeBenchSession(): void {
  open?.session.close();
  open = null;
}

function createBenchSession(client: Client, preferences: PreferencesStore, mockUp: MockUpStore): BenchSession {
  const outbox = createOutbox();
  const listeners = new Set<(event: BenchEvent) => void>();
  const media = (navigator as { mediaDevices?: MediaDevices }).mediaDevices ?? null;
  const sight = createSight({ client, outbox, mockUpId: mockUp.getState().mockUpId, media, makeWorker });
  const second = createSecondCamera(media);
  const run = createRun({
    client,
    outbox,
    mockUp,
    sight,
    operatorDelayMs: () => preferences.getState().values.operatorDelaySeconds * 1000,
    nowMs: () => performance.timeOrigin + performance.now(),
    secondPicture: () => second.picture(),
    announce(event) {
      for (const listener of listeners) listener(event);
    },
  });
  const offer = (): void => {
    const { whole } = mockUp.getState();
    if (whole !== null) sight.offerKeptSetups(whole.setups);
  };
  offer();
  const unsubscribe = mockUp.subscribe(offer);
  const { mockUpId } = mockUp.getState();
  // The camera doesn't go on looking when the mock-up is left.
  const left = (): void => {
    const route = parseRoute(window.location.hash);
    if (route.screen !== 'mock-up' || route.mockUpId !== mockUpId) closeBenchSession();
  };
  window.addEventListener('hashchange', left);
  return {
    sight,
    run,
    outbox,
    second,
    listen(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    close() {
      window.removeEventListener('hashchange', left);
      unsubscribe();
      run.close();
      second.close();
      sight.close();
    },
  };
}
