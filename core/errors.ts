/** Kinds of mistake that the person at the bench can mend. */
export const inputErrorCodes = [
  'missing',
  'non_positive',
  'negative',
  'rod_too_short',
  'out_of_range',
  'inconsistent',
  'insufficient_data',
  'singular',
  'not_applicable',
  'reversed_limits',
  'collision',
] as const;
export type InputErrorCode = (typeof inputErrorCodes)[number];

export interface InputErrorDetails {
  readonly code: InputErrorCode;
  /** Name of the input at fault, as the function that refused it calls it. */
  readonly field: string;
  /** The value as it came. */
  readonly value: unknown;
  /** What would be accepted, in words: "greater than 0 mm". */
  readonly allowed: string;
  /** One sentence for the screen: what is wrong, where, how to mend it. */
  readonly message: string;
}

/** Something entered can't be right, and the builder can mend it. The message reaches the screen as it stands. */
export class InputError extends Error {
  override readonly name = 'InputError';
  readonly code: InputErrorCode;
  readonly field: string;
  readonly value: unknown;
  readonly allowed: string;

  constructor(details: InputErrorDetails) {
    super(details.message);
    this.code = details.code;
    this.field = details.field;
    this.value = details.value;
    this.allowed = details.allowed;
  }
}

/** Something outside the program is in the way: camera taken, disk full, database locked, file not readable. */
export class EnvironmentError extends Error {
  override readonly name = 'EnvironmentError';
  /** Stable short name in snake case, for tests and for the log. */
  readonly code: string;
  /** What to do now, one sentence. */
  readonly nextStep: string;

  /** @param whatHappened one sentence; the message shown is this sentence followed by the next step */
  constructor(code: string, whatHappened: string, nextStep: string, options?: ErrorOptions) {
    super(`${whatHappened} ${nextStep}`, options);
    this.code = code;
    this.nextStep = nextStep;
  }
}

/** How a refused value is written in a message. */
export function shownValue(value: unknown): string {
  if (value === undefined || value === null) return 'empty';
  if (typeof value === 'string') return `"${value}"`;
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) return String(value);
    // Rounding noise of a subtraction ("0.30000000000000004") would hide the number that the builder knows.
    return String(Number(value.toPrecision(9)));
  }
  return JSON.stringify(value);
}
