import { readFile } from 'node:fs/promises';
import type { Evaluation } from '../../core/catalogue/evaluate.ts';
import { evaluateQuantity, hasQuantity } from '../../core/catalogue.ts';
import { InputError } from '../../core/errors.ts';
import { convertUnit, wrapSigned } from '../../core/units.ts';
import { parseCases, type ReferenceCase, type ReferenceValue, type Tolerance } from './reference-file.ts';

/** One case after it was run. */
export interface CheckedCase {
  readonly id: string;
  readonly passed: boolean;
  readonly expected: string;
  readonly got: string;
  /** Why it failed, or what was noticed; empty where there is nothing to say. */
  readonly remark: string;
}

interface Comparison {
  readonly problem: string | null;
  readonly shown: string;
}

const shownNumber = (value: number): string => String(Number(value.toPrecision(12)));

function shown(value: unknown, unit: string | undefined): string {
  const text = typeof value === 'number' ? shownNumber(value) : String(value);
  return unit === undefined || unit === '1' || unit === '' ? text : `${text} ${unit}`;
}

/** Compares one output, in the unit that the file expects. */
function compareOutput(
  name: string,
  expected: ReferenceValue,
  evaluation: Evaluation,
  tolerance: Tolerance,
): Comparison {
  const output = evaluation.outputs.find((candidate) => candidate.name === name);
  if (output === undefined) return { problem: `${name} is not given`, shown: `${name} absent` };
  if (typeof expected.value !== 'number' || typeof output.value !== 'number' || output.dimension === null) {
    const same = expected.value === output.value;
    return { problem: same ? null : `${name} differs`, shown: `${name} ${shown(output.value, output.unit)}` };
  }
  const unit = expected.unit ?? output.unit;
  const got = convertUnit(output.value, output.unit, unit, output.dimension);
  const period = output.period === null ? null : convertUnit(output.period, output.unit, unit, output.dimension);
  const difference = period === null ? got - expected.value : wrapSigned(got - expected.value, period);
  const { rel, abs } = tolerance.perOutput[name] ?? tolerance;
  const allowed = Math.max(abs, rel * Math.abs(expected.value));
  // Written so that a difference that is no number counts as a failure.
  const isClose = Math.abs(difference) <= allowed;
  return {
    problem: isClose ? null : `${name} is off by ${difference.toExponential(2)}, allowed ${allowed.toExponential(2)}`,
    shown: `${name} ${shown(got, unit)}`,
  };
}

function expectedText(reference: ReferenceCase): string {
  return 'error' in reference.expected
    ? `error ${reference.expected.error}`
    : Object.entries(reference.expected.outputs)
        .map(([name, { value, unit }]) => `${name} ${shown(value, unit)}`)
        .join(', ');
}

/** Runs one case through the catalogue. */
export function checkCase(reference: ReferenceCase): CheckedCase {
  const base = { id: reference.id, expected: expectedText(reference) };
  if (!hasQuantity(reference.quantity)) {
    return { ...base, passed: false, got: 'nothing', remark: `unknown quantity ${reference.quantity}` };
  }
  try {
    const evaluation = evaluateQuantity(reference.quantity, reference.inputs);
    return { ...base, ...compareEvaluation(reference, evaluation) };
  } catch (error) {
    if (!(error instanceof InputError)) {
      return { ...base, passed: false, got: 'a fault', remark: error instanceof Error ? error.message : String(error) };
    }
    const passed = 'error' in reference.expected && reference.expected.error === error.code;
    return { ...base, passed, got: `error ${error.code}`, remark: error.message };
  }
}

function compareEvaluation(
  reference: ReferenceCase,
  evaluation: Evaluation,
): { passed: boolean; got: string; remark: string } {
  if ('error' in reference.expected) {
    const got = evaluation.outputs.map(({ name, value, unit }) => `${name} ${shown(value, unit)}`).join(', ');
    return { passed: false, got, remark: 'an error was expected' };
  }
  const { outputs } = reference.expected;
  const comparisons = Object.entries(outputs).map(([name, expected]) =>
    compareOutput(name, expected, evaluation, reference.tolerance),
  );
  const problems = comparisons.flatMap(({ problem }) => problem ?? []);
  // A direction where there is no tilt, a radius of a flat cap: giving one where none exists is as wrong as a number off.
  const surplus = evaluation.outputs.filter(
    ({ name }) => !Object.hasOwn(outputs, name) && evaluation.quantity.outputs[name]?.isOptional === true,
  );
  problems.push(...surplus.map(({ name }) => `${name} is given but not expected`));
  const notes = evaluation.unusedInputs.map((name) => `input ${name} is not used`);
  return {
    passed: problems.length === 0,
    got: comparisons.map((comparison) => comparison.shown).join(', '),
    remark: [...problems, ...notes].join('; '),
  };
}

const usage = `portsight check-numbers FILE

Runs the cases of a file of reference numbers (JSON: id, quantity, inputs, expected, tolerance) through the
measurement maths. Prints one line a case with what was expected, what came out and the verdict, then
"N passed, N failed". Ends with 1 if any case failed, with 2 if the file can't be used.
`;

/** The command `portsight check-numbers`. @returns the exit code */
export async function checkNumbers(
  args: string[],
  print: (line: string) => void = (line) => process.stdout.write(`${line}\n`),
): Promise<number> {
  const [file] = args;
  if (file === undefined || file === '--help' || file === '-h') {
    print(usage);
    return file === undefined ? 2 : 0;
  }
  let cases: ReferenceCase[];
  try {
    cases = parseCases(await readFile(file, 'utf8'));
  } catch (error) {
    print(`${file} can't be used: ${error instanceof Error ? error.message : String(error)}`);
    return 2;
  }
  let passed = 0;
  for (const reference of cases) {
    const checked = checkCase(reference);
    if (checked.passed) passed += 1;
    const remark = checked.remark === '' ? '' : ` (${checked.remark})`;
    const verdict = checked.passed ? 'passed' : 'FAILED';
    print(`${verdict}  ${checked.id}  expected: ${checked.expected}  got: ${checked.got}${remark}`);
  }
  print(`${passed} passed, ${cases.length - passed} failed`);
  return passed === cases.length ? 0 : 1;
}
