import { InputError, type InputErrorCode } from '../../core/errors.ts';

export interface Refusal {
  readonly code: InputErrorCode;
  readonly field: string;
  readonly value: unknown;
  readonly allowed: string;
  readonly message: string;
}

/** What a call refuses; fails the test where it doesn't. */
export function refusal(call: () => unknown): Refusal {
  let result: unknown;
  try {
    result = call();
  } catch (error) {
    if (error instanceof InputError) {
      const { code, field, value, allowed, message } = error;
      return { code, field, value, allowed, message };
    }
    throw error;
  }
  throw new Error(`nothing was refused, the result is ${JSON.stringify(result)}`);
}

/** Code and field only, for tables. */
export function refused(call: () => unknown): string {
  const { code, field } = refusal(call);
  return `${code} ${field}`;
}
