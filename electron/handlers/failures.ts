import type { Failure } from '../../core/contract/envelope.ts';
import { EnvironmentError, InputError } from '../../core/errors.ts';
import { toBookError } from '../database/book-errors.ts';

/**
 * The one place where a thrown error becomes the plain failure that crosses to the page.
 * What the user can mend keeps its sentence; a fault of our own is logged and gets a general one.
 */
export function toFailure(error: unknown, log: (sentence: string) => void): Failure {
  const known = toBookError(error);
  if (known instanceof InputError) return { code: known.code, message: known.message, field: known.field };
  if (known instanceof EnvironmentError) return { code: known.code, message: known.message };
  log(`fault: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`);
  return {
    code: 'fault',
    message:
      'The program made a mistake of its own and stopped this step. What was stored before is kept; start Portsight again if it goes on.',
  };
}
