import type { Envelope, Failure } from './envelope.ts';
import { type MessageName, messages, type OutputOf, type ParsedInputOf } from './messages.ts';

/** One function a message; it gets checked input and returns what the contract promises. */
export type Handlers = { [K in MessageName]: (input: ParsedInputOf<K>) => Promise<OutputOf<K>> };

/** Answers any message from outside; never throws. */
export type Dispatch = (name: unknown, input: unknown) => Promise<Envelope<unknown>>;

/**
 * Turns a table of handlers into the one door that every transport uses.
 * @param toFailure turns what a handler threw into a plain failure; it also logs faults of our own
 */
export function createDispatch(handlers: Handlers, toFailure: (error: unknown) => Failure): Dispatch {
  return async (name, input) => {
    if (typeof name !== 'string' || !Object.hasOwn(messages, name)) {
      return {
        ok: false,
        error: { code: 'unknown_message', message: 'The program was asked for something that it does not know.' },
      };
    }
    const known = name as MessageName;
    const parsed = messages[known].input.safeParse(input);
    if (!parsed.success) {
      const issue = parsed.error.issues[0];
      const field = issue?.path.join('.') ?? '';
      return {
        ok: false,
        error: {
          code: 'bad_input',
          message: `${field === '' ? 'The input' : field}: ${issue?.message ?? 'is not what was expected'}`,
          field,
        },
      };
    }
    try {
      const handler = handlers[known] as (checked: unknown) => Promise<unknown>;
      return { ok: true, value: messages[known].output.parse(await handler(parsed.data)) };
    } catch (error) {
      return { ok: false, error: toFailure(error) };
    }
  };
}
