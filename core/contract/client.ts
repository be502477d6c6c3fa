import { envelopeSchema, type Failure } from './envelope.ts';
import {
  type Announcement,
  announcementSchema,
  type InputOf,
  type MessageName,
  messages,
  type OutputOf,
} from './messages.ts';

/** The two functions that a shell offers to the page. */
export interface Transport {
  call(name: string, input: unknown): Promise<unknown>;
  /** Returns the function that ends the subscription. */
  listen(listener: (announcement: unknown) => void): () => void;
}

/** A message that was refused or failed; carries the sentence for the screen. */
export class CallFailure extends Error {
  readonly code: string;
  readonly field: string | undefined;
  constructor(failure: Failure) {
    super(failure.message);
    this.name = 'CallFailure';
    this.code = failure.code;
    this.field = failure.field;
  }
}

export interface Client {
  /** @throws CallFailure with the host's code and sentence */
  call<K extends MessageName>(name: K, input: InputOf<K>): Promise<OutputOf<K>>;
  listen(listener: (announcement: Announcement) => void): () => void;
}

/** Typed calls over any transport; what comes back is checked again. */
export function createClient(transport: Transport): Client {
  return {
    async call(name, input) {
      const envelope = envelopeSchema.parse(await transport.call(name, input));
      if (!envelope.ok) {
        const { code, message, field } = envelope.error;
        throw new CallFailure(field === undefined ? { code, message } : { code, message, field });
      }
      return messages[name].output.parse(envelope.value) as OutputOf<typeof name>;
    },
    listen(listener) {
      return transport.listen((raw) => {
        const parsed = announcementSchema.safeParse(raw);
        if (parsed.success) listener(parsed.data);
      });
    },
  };
}
