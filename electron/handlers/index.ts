import { createDispatch, type Dispatch, type Handlers } from '../../core/contract/dispatch.ts';
import { appHandlers } from './app.ts';
import { bookHandlers } from './book.ts';
import type { HandlerDependencies } from './dependencies.ts';
import { toFailure } from './failures.ts';
import { readingHandlers } from './readings.ts';
import { sheetHandlers } from './sheets.ts';

/** How long a handler may take before it reports itself. */
const slowHandlerMs = 200;

/** One function a message, for Electron and the loopback host alike. */
export function createHandlers(deps: HandlerDependencies): Handlers {
  return { ...appHandlers(deps), ...bookHandlers(deps), ...readingHandlers(deps), ...sheetHandlers(deps) };
}

/** The one door to the handlers. */
export function createBookDispatch(deps: HandlerDependencies): Dispatch {
  const dispatch = createDispatch(createHandlers(deps), (error) => toFailure(error, deps.log));
  return async (name, input) => {
    const start = performance.now();
    const envelope = await dispatch(name, input);
    const tookMs = performance.now() - start;
    if (tookMs > slowHandlerMs) deps.log(`slow message, ${tookMs.toFixed(0)} ms: ${String(name).slice(0, 60)}`);
    return envelope;
  };
}
