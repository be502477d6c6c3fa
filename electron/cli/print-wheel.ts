import { writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { InputError } from '../../core/errors.ts';
import type { NumbersGrow } from '../../core/wheel/coded/wheel-face.ts';
import {
  leastDiameterMm,
  mostDiameterMm,
  type PaperName,
  paperNames,
  papers,
} from '../../core/wheel/coded/wheel-sheet.ts';
import { printableWheel } from '../wheel-sheet/printable-wheel.ts';

const diameters = paperNames
  .map(
    (paper) =>
      `${papers[paper].name} ${leastDiameterMm} to ${mostDiameterMm(paper)}, usually ${papers[paper].usualDiameterMm}`,
  )
  .join('; ');

export const printWheelUsage = `portsight print-wheel [--paper a4|a3|letter] [--diameter MM] [--bore MM]
                      [--grows clockwise|anticlockwise] OUT.pdf

Draws a degree wheel with 1-degree ticks, numbers from 0 to 350 and a coded ring, which tells the camera in any
single picture where the wheel stands. One page, vector PDF, true scale.
--paper     a4 (usual), a3 or letter
--diameter  at the cut line, mm: ${diameters}
--bore      hole on the cross-hair, mm (usually 10), at most half the diameter
--grows     which way the numbers run round the face (usually clockwise). Under a fixed pointer they rise when
            the wheel turns the other way: take anticlockwise where it turns clockwise when the crank goes forwards.

Print at 100 %, never fitted to the page, and measure both bars on the sheet before gluing it to a stiff disc.
Turn the crank by hand only; never start the engine with the wheel on.`;

/** `portsight print-wheel`; returns the exit code: 0 written, 1 couldn't write, 2 wrong arguments. */
export async function printWheel(args: string[]): Promise<number> {
  let target: string | undefined;
  let pdf: Uint8Array;
  try {
    const { values, positionals } = parseArgs({
      args,
      allowPositionals: true,
      options: {
        paper: { type: 'string', default: 'a4' },
        diameter: { type: 'string' },
        bore: { type: 'string' },
        grows: { type: 'string', default: 'clockwise' },
        help: { type: 'boolean', short: 'h' },
      },
    });
    if (values.help === true) {
      console.log(printWheelUsage);
      return 0;
    }
    [target] = positionals;
    if (target === undefined || positionals.length > 1) throw new Error('Name one file to write.');
    const paper = paperNames.find((name): name is PaperName => name === values.paper.toLowerCase());
    if (paper === undefined) throw new Error(`There is no paper "${values.paper}": ${paperNames.join(', ')}.`);
    const grows = (['clockwise', 'anticlockwise'] as const).find((way): way is NumbersGrow => way === values.grows);
    if (grows === undefined) throw new Error(`Numbers grow clockwise or anticlockwise, not "${values.grows}".`);
    pdf = printableWheel({
      paper,
      grows,
      diameterMm: lengthOf('diameter', values.diameter),
      boreMm: lengthOf('bore', values.bore),
    }).pdf;
  } catch (error) {
    const message = error instanceof Error ? error.message : String(error);
    console.error(error instanceof InputError ? message : `${message}\n\n${printWheelUsage}`);
    return 2;
  }
  try {
    await writeFile(target, pdf);
  } catch (error) {
    console.error(`${target} can't be written: ${error instanceof Error ? error.message : String(error)}.`);
    return 1;
  }
  console.error(`${target} is written. Print it at 100 % and measure both bars.`);
  return 0;
}

function lengthOf(option: string, text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const value = Number(text.replace(',', '.'));
  if (text.trim() === '' || !Number.isFinite(value))
    throw new Error(`--${option} takes a length in mm, not "${text}".`);
  return value;
}
