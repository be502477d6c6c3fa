import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { checkCase, checkNumbers } from '../../../electron/cli/check-numbers.ts';
import { parseCases } from '../../../electron/cli/reference-file.ts';
import { keptReferenceFile } from '../../support/reference-numbers.ts';

const folder = mkdtempSync(join(tmpdir(), 'portsight-numbers-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function fileOf(content: unknown): string {
  const path = join(
    folder,
    `${Math.abs(JSON.stringify(content).length)}-${Object.keys(content as object).length}.json`,
  );
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
}

async function run(args: string[]): Promise<{ code: number; lines: string[] }> {
  const lines: string[] = [];
  const code = await checkNumbers(args, (line) => lines.push(line));
  return { code, lines };
}

const good = {
  id: 'a',
  quantity: 'kin_position',
  inputs: {
    stroke: { value: 54, unit: 'mm' },
    rod: { value: 110, unit: 'mm' },
    crank_angle: { value: 180, unit: 'deg' },
  },
  expected: { position: { value: 54, unit: 'mm' } },
};
const check = (changes: object) => {
  const [parsed] = parseCases(JSON.stringify([{ ...good, ...changes }]));
  if (parsed === undefined) throw new Error('no case');
  return checkCase(parsed);
};

describe('a case', () => {
  test('passes within its tolerance, in whatever unit is expected', () => {
    expect(check({})).toEqual({ id: 'a', passed: true, expected: 'position 54 mm', got: 'position 54 mm', remark: '' });
    expect(check({ expected: { position: { value: 5.4, unit: 'cm' } } })).toMatchObject({
      passed: true,
      got: 'position 5.4 cm',
    });
    expect(check({ expected: { position: { value: 54 } } }).passed).toBe(true);
    expect(
      check({ expected: { position: { value: 54.001, unit: 'mm' } }, tolerance: { rel: 0, abs: 0.002 } }).passed,
    ).toBe(true);
    expect(check({ expected: { position: { value: 54.001, unit: 'mm' } }, tolerance: { rel: 1e-4 } }).passed).toBe(
      true,
    );
    const off = check({ expected: { position: { value: 54.001, unit: 'mm' } } });
    expect(off.passed).toBe(false);
    expect(off.remark).toBe('position is off by -1.00e-3, allowed 5.40e-7');
    const per = { rel: 0, abs: 1e-9, per_output: { position: { rel: 0, abs: 0.01 } } };
    expect(check({ expected: { position: { value: 54.001, unit: 'mm' } }, tolerance: per }).passed).toBe(true);
  });

  test('a number that is not there, or no number, fails', () => {
    expect(check({ expected: { depth: { value: 54, unit: 'mm' } } })).toMatchObject({
      passed: false,
      remark: 'depth is not given',
    });
    expect(check({ expected: { position: { value: 'deep', unit: 'mm' } } })).toMatchObject({
      passed: false,
      remark: 'position differs',
    });
    expect(check({ quantity: 'kin_nothing' })).toMatchObject({ passed: false, remark: 'unknown quantity kin_nothing' });
    expect(check({ expected: { position: { value: 54, unit: 'deg' } } }).passed).toBe(false);
  });

  test('a result that should not exist fails', () => {
    const flat = {
      quantity: 'cap_from_height',
      inputs: { base_diameter: { value: 54, unit: 'mm' }, height: { value: 3, unit: 'mm' } },
      expected: { volume: { value: 3.4497, unit: 'cm3' } },
      tolerance: { rel: 1e-3, abs: 0 },
    };
    expect(check(flat)).toMatchObject({ passed: false, remark: 'sphere_radius is given but not expected' });
  });

  test('an expected error must be of the right kind', () => {
    const short = { inputs: { ...good.inputs, rod: { value: 20, unit: 'mm' } } };
    expect(check({ ...short, expected: { error: 'rod_too_short' } })).toMatchObject({
      passed: true,
      got: 'error rod_too_short',
    });
    expect(check({ ...short, expected: { error: 'missing' } })).toMatchObject({
      passed: false,
      expected: 'error missing',
    });
    expect(check({ expected: { error: 'missing' } })).toMatchObject({
      passed: false,
      remark: 'an error was expected',
      got: 'position 54 mm',
    });
    expect(check({ quantity: 'kin_nothing', expected: { error: 'not_applicable' } }).passed).toBe(false);
    expect(check(short)).toMatchObject({ passed: false, got: 'error rod_too_short' });
  });

  test('angles that wrap are compared around the turn, others are not', () => {
    const stop = {
      quantity: 'tdc_positive_stop',
      inputs: { stop_forward: { value: 340, unit: 'deg' }, stop_backward: { value: 20, unit: 'deg' } },
    };
    expect(
      check({
        ...stop,
        expected: { tdc_reading: { value: 360, unit: 'deg' }, blocked_arc: { value: 40, unit: 'deg' } },
      }).passed,
    ).toBe(true);
    expect(check({ ...stop, expected: { tdc_reading: { value: 2 * Math.PI, unit: 'rad' } } }).passed).toBe(true);
    expect(check({ ...stop, expected: { blocked_arc: { value: 400, unit: 'deg' } } }).passed).toBe(false);
  });

  test('words and yes/no must match exactly, and unused inputs are named', () => {
    const decision = {
      quantity: 'conformity',
      inputs: {
        lower: { value: 1, unit: 'mm' },
        value: { value: 2, unit: 'mm' },
        expanded: { value: 0.1, unit: 'mm' },
        colour: { value: 'red' },
      },
      expected: { decision: { value: 'conforming', unit: '1' }, can_ever_conform: { value: true, unit: '1' } },
    };
    expect(check(decision)).toMatchObject({ passed: true, remark: 'input colour is not used' });
    expect(check({ ...decision, expected: { decision: { value: 'Conforming' } } }).passed).toBe(false);
    expect(check({ ...decision, expected: { can_ever_conform: { value: 'true' } } }).passed).toBe(false);
  });
});

describe('a file', () => {
  test('bare NaN and Infinity count as missing numbers, inside text they stay text', () => {
    const text = `[{"id": "NaN \\" Infinity", "quantity": "kin_position", "inputs": {"stroke": {"value": NaN, "unit": "mm"},
      "rod": {"value": -Infinity, "unit": "mm"}, "crank_angle": {"value": 0}}, "expected": {"error": "missing"}}]`;
    const [parsed] = parseCases(text);
    expect(parsed?.id).toBe('NaN " Infinity');
    expect(parsed?.inputs['rod']?.value).toBe('-Infinity');
    expect(parsed === undefined ? null : checkCase(parsed)).toMatchObject({ passed: true });
  });

  test('numbers without wrapping, null units and a bare list of cases are taken', () => {
    const [parsed] = parseCases(
      JSON.stringify([{ ...good, inputs: { stroke: 54, rod: { value: 110, unit: null } }, tolerance: null }]),
    );
    expect(parsed?.inputs).toEqual({ stroke: { value: 54, unit: undefined }, rod: { value: 110, unit: undefined } });
    expect(parsed?.tolerance).toEqual({ rel: 1e-8, abs: 1e-9, perOutput: {} });
  });

  test('each case has its line, then the count; any failure ends with 1', async () => {
    const all = await run([fileOf({ cases: [good] })]);
    expect(all).toEqual({
      code: 0,
      lines: ['passed  a  expected: position 54 mm  got: position 54 mm', '1 passed, 0 failed'],
    });
    const wrong = { ...good, id: 'b', expected: { position: { value: 1, unit: 'mm' } } };
    const some = await run([fileOf({ title: 'x', cases: [good, wrong] })]);
    expect(some.code).toBe(1);
    expect(some.lines[1]).toMatch(
      /^FAILED {2}b {2}expected: position 1 mm {2}got: position 54 mm \(position is off by/,
    );
    expect(some.lines.at(-1)).toBe('1 passed, 1 failed');
  });

  test('a file that cannot be used ends with 2 and says why', async () => {
    expect((await run([join(folder, 'nowhere.json')])).code).toBe(2);
    expect((await run([join(folder, 'nowhere.json')])).lines[0]).toContain("can't be used");
    const broken = join(folder, 'broken.json');
    writeFileSync(broken, '{');
    expect((await run([broken])).code).toBe(2);
    const other = await run([fileOf({ cases: [{ id: 3 }] })]);
    expect(other.code).toBe(2);
    expect(other.lines[0]).toContain('no file of reference numbers');
    expect((await run([])).code).toBe(2);
    expect((await run(['--help'])).code).toBe(0);
    expect((await run(['-h'])).lines[0]).toContain('portsight check-numbers FILE');
  });
});

describe('the command', () => {
  const portsight = (...args: string[]) =>
    spawnSync(process.execPath, [join(import.meta.dirname, '..', '..', '..', 'electron', 'cli', 'index.ts'), ...args], {
      encoding: 'utf8',
    });

  test('runs the kept numbers', () => {
    const { status, stdout } = portsight('check-numbers', keptReferenceFile);
    expect(stdout.trimEnd().split('\n').at(-1)).toBe('338 passed, 0 failed');
    expect(status).toBe(0);
  });

  test('explains itself and refuses what it does not know', () => {
    expect(portsight('--help')).toMatchObject({ status: 0 });
    expect(portsight('--help').stdout).toMatch(/check-numbers[\s\S]*read-wheel/);
    expect(portsight()).toMatchObject({ status: 2 });
    expect(portsight('--version').stdout).toMatch(/^\d+\.\d+\.\d+\n$/);
    const unknown = portsight('constructor');
    expect(unknown.status).toBe(2);
    expect(unknown.stderr).toContain('portsight knows no command "constructor"');
  });
});
