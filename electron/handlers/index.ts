import { dirname } from 'node:path';
import { createDispatch, type Dispatch, type Handlers } from '../../core/contract/dispatch.ts';
import type { MessageName } from '../../core/contract/messages.ts';
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
import { createWorkList } from './work-list.ts';

/** How long a handler may take before it reports itself. */
const slowHandlerMs = 200;

/** One function a message, for Electron and the loopback host alike. */
export function createHandlers(deps: HandlerDependencies): Handlers {
  const files = createExchangeFiles(dirname(deps.books.path));
  const works = createWorkList(deps.announce);
  return {
    ...appHandlers(deps),
    ...bookHandlers(deps),
    ...readingHandlers(deps),
    ...sheetHandlers(deps),
    ...historyHandlers(deps, files),
    ...exchangeHandlers(deps, files, works),
    ...safetyHandlers(deps, files, works),
    ...csvHandlers(deps),
    ...wheelSheetHandlers(),
    ...works.handlers,
  };
}

/** Messages that write in the book: they wait while an archive is taken in or a backup is put in place. */
const writing = new Set<unknown>([
  'build.create',
  'build.update',
  'customer.create',
  'customer.update',
  'customer.removeDetails',
  'part.create',
  'part.update',
  'mockUp.create',
  'mockUp.update',
  'mockUp.copy',
  'reading.add',
  'reading.mark',
  'setup.create',
  'setup.update',
  'sheet.keep',
  'conflict.settle',
  'csv.import',
] satisfies MessageName[]);

/** The one door to the handlers. */
export function createBookDispatch(deps: HandlerDependencies): Dispatch {
  const dispatch = createDispatch(createHandlers(deps), (error) => toFailure(error, deps.log));
  return async (name, input) => {
    if (writing.has(name)) await deps.books.settled();
    const start = performance.now();
    const envelope = await dispatch(name, input);
    const tookMs = performance.now() - start;
    if (tookMs > slowHandlerMs) deps.log(`slow message, ${tookMs.toFixed(0)} ms: ${String(name).slice(0, 60)}`);
    return envelope;
  };
}
