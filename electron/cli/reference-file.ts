import { z } from 'zod';
import type { GivenInputs } from '../../core/catalogue/evaluate.ts';

export interface ReferenceValue {
  readonly value: unknown;
  readonly unit?: string | undefined;
}

export interface Tolerance {
  readonly rel: number;
  readonly abs: number;
  readonly perOutput: Readonly<Record<string, { readonly rel: number; readonly abs: number }>>;
}

/** One case of a file of reference numbers. */
export interface ReferenceCase {
  readonly id: string;
  readonly quantity: string;
  readonly inputs: GivenInputs;
  readonly expected: { readonly error: string } | { readonly outputs: Readonly<Record<string, ReferenceValue>> };
  readonly tolerance: Tolerance;
}

/** Agreement asked for where a case names no tolerance of its own. */
const usualTolerance = { rel: 1e-8, abs: 1e-9 };

const valueSchema = z.union([
  z
    .object({ value: z.unknown(), unit: z.string().nullish() })
    .transform(({ value, unit }) => ({ value, unit: unit ?? undefined })),
  // A bare number counts as given in the formula's own unit.
  z.unknown().transform((value) => ({ value, unit: undefined })),
]);
const namedValuesSchema = z.record(z.string(), valueSchema);
const boundsSchema = z.object({ rel: z.number().default(0), abs: z.number().default(0) });

const caseSchema = z.object({
  id: z.string(),
  quantity: z.string(),
  inputs: namedValuesSchema.default({}),
  expected: z.union([z.object({ error: z.string() }).strict(), namedValuesSchema]),
  tolerance: boundsSchema.extend({ per_output: z.record(z.string(), boundsSchema).optional() }).nullish(),
});
const fileSchema = z.union([z.object({ cases: z.array(caseSchema) }), z.array(caseSchema)]);

/**
 * JSON text in which some writers leave the bare words NaN, Infinity and -Infinity. They become text, which a number
 * field refuses as missing, as it must.
 */
function withoutBareWords(text: string): string {
  return text.replaceAll(/"(?:[^"\\]|\\.)*"|-?\b(?:NaN|Infinity)\b/g, (found) =>
    found.startsWith('"') ? found : `"${found}"`,
  );
}

/** @throws Error with a readable message where the text is no such file */
export function parseCases(text: string): ReferenceCase[] {
  const parsed = fileSchema.safeParse(JSON.parse(withoutBareWords(text)));
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    throw new Error(`it is no file of reference numbers (${issue?.path.join('.') ?? ''}: ${issue?.message ?? ''})`);
  }
  const cases = Array.isArray(parsed.data) ? parsed.data : parsed.data.cases;
  return cases.map(({ id, quantity, inputs, expected, tolerance }) => ({
    id,
    quantity,
    inputs,
    expected: isError(expected) ? { error: expected.error } : { outputs: expected },
    tolerance: {
      rel: tolerance?.rel ?? usualTolerance.rel,
      abs: tolerance?.abs ?? usualTolerance.abs,
      perOutput: tolerance?.per_output ?? {},
    },
  }));
}

type Expected = z.infer<typeof caseSchema>['expected'];

function isError(expected: Expected): expected is { error: string } {
  return typeof expected['error'] === 'string';
}
