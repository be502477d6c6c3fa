import { CallFailure } from '../../core/contract/client.ts';

/** The sentence for the screen: the host's or core's own words where there are any. */
export function sentenceOf(error: unknown): string {
  if (error instanceof CallFailure) return error.message;
  if (error instanceof Error && error.message !== '') return error.message;
  return 'Something went wrong inside the program. What was stored is still there. Try again, or restart the program.';
}

/** The field that an error names, or null. */
export function fieldOf(error: unknown): string | null {
  if (typeof error === 'object' && error !== null && 'field' in error && typeof error.field === 'string') {
    return error.field;
  }
  return null;
}
