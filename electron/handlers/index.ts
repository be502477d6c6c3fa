import { dirname } from 'node:path';
import { createDispatch, type Dispatch, type Handlers } from '../../core/contract/dispatch.ts';
import { appHandlers } from './app.ts';
import { bookHandlers } from './book.ts';
import { csvHandlers } from './csv.ts';
import type { HandlerDependencies } from './dependencies.ts';
import { exchangeHandlers } from './exchange.ts';
import { toFailure } from './failures.ts';
import { createExchangeFiles } from './files.ts';
import { historyHandlers } from './history.ts';
import { readingHandlers } from './readings.ts';
import { safetyHandlers } from './safety.ts';
import { sheetHandlers } from './sheets.ts';
import { wheelSheetHandlers } from './wheel-sheet.ts';

/** How long a handler may take before it reports itself. */
const slowHandlerMs = 200;

/** One function a message, for Electron and the loopback host alike. */
export function createHandlers(deps: HandlerDependencies): Handlers {
  const files = createExchangeFiles(dirname(deps.books.path));
  return {
    ...appHandlers(deps),
    ...bookHandlers(deps),
    ...readingHandlers(deps),
    ...sheetHandlers(deps),
    ...historyHandlers(deps),
    ...exchangeHandlers(deps, files),
    ...safetyHandlers(deps, files),
    ...csvHandlers(deps),
    ...wheelSheetHandlers(),
  };
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
