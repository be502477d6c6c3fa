import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { EdgeCriterion } from '../../../core/contract/parts.ts';
import { asMeasured } from '../../../core/mockup/as-measured.ts';
import type { SizesOfMockUp } from '../../../core/mockup/sizes.ts';
import { shownAngle } from '../../drawings/timing-data.ts';
import { criterionTitles } from '../../parts/forms/mock-up-form.tsx';
import { limitsText } from '../../parts/limits-text.ts';
import { shownDay, shownTime } from '../../parts/time-text.ts';
import { writeNumber } from '../../parts/typed-number.ts';
import { millimetresPerUnit } from '../../parts/unit-words.ts';
import { diagramOf, type MockUpResult } from '../../state/mock-up-result.ts';
import type { Preferences } from '../../state/preference-list.ts';
import { wordsFrom } from '../../state/words.ts';
import { type SheetFact, type SheetHead, sheetCautions, type TimingSheetData } from './sheet-data.ts';

/** What every sheet is drawn from. */
export interface SheetInput {
  readonly whole: MockUpWhole;
  readonly result: MockUpResult;
  readonly preferences: Preferences;
  readonly version: string;
  /** ISO time. */
  readonly printedAt: string;
}

/** For sheets that are drawn from sizes as well. */
export interface SizedSheetInput extends SheetInput {
  readonly found: SizesOfMockUp;
}

/** Puts a mock-up's figures into the words of the page. */
export function timingSheetData({ whole, result, preferences, version, printedAt }: SheetInput): TimingSheetData {
  const { barrel } = whole;
  const { baseGasketMm, roomTemperatureC } = asMeasured(whole);
  const words = wordsFrom(preferences.barrelWord, preferences.pinWord);
  const length = (value: number | null) => lengthText(value, preferences);
  return {
    kind: 'timing',
    ...sheetHead('Timing sheet', { whole, result, preferences, version, printedAt }),
    diagram: diagramOf(result, barrel.kind === 'barrel' ? barrel.data.ports : []),
    events: result.events
      .filter((row) => row.crank !== null)
      .map((row) => ({
        event: row.title,
        forwards: row.forwardsDeg === null ? 'not read' : shownAngle(row.forwardsDeg, 2),
        backwards: row.backwardsDeg === null ? 'not read' : shownAngle(row.backwardsDeg, 2),
        difference: row.differenceDeg === null ? '' : signed(row.differenceDeg),
        result: row.crank === null ? '' : shownAngle(row.crank.value),
        expanded: row.crank === null ? '' : (2 * row.crank.sigma).toFixed(2),
        readings: row.stamps.filter((stamp) => !stamp.struck && !stamp.doubtful && !stamp.isVoid).length,
      })),
    results: [...result.figures, ...eventsWithLimits(result)].map((row) => ({
      quantity: row.title,
      value: row.value === null ? 'not measured' : `${row.value.value.toFixed(1)} deg`,
      expanded: row.value === null ? '' : (2 * row.value.sigma).toFixed(2),
      limits: limitsLine(row.judged.specification),
      verdict: row.judged.verdict,
    })),
    engine: engineFacts(whole, preferences, words.pin),
    mockUp: facts([
      [words.Barrel, [barrel.name, barrel.marks].filter((part) => part !== '').join(', ')],
      ['Bore', barrel.kind === 'barrel' ? length(barrel.data.boreMm) : ''],
      ['Piston', whole.piston?.name ?? ''],
      ['Base gasket', baseGasketMm === null ? 'not given' : length(baseGasketMm)],
      ['Room', roomTemperatureC === null ? '' : `${writeNumber(roomTemperatureC, 1, preferences.decimalMark)} °C`],
    ]),
    method: methodOf(whole, result, length),
    cautions: sheetCautions,
  };
}

/** Head and foot that all sheets of a mock-up share. */
export function sheetHead(
  title: string,
  { whole, result, preferences, version, printedAt }: SheetInput,
): Omit<SheetHead, 'cautions'> {
  const { mockUp, build, customer, barrel } = whole;
  return {
    paper: preferences.paperSize,
    title,
    subtitle: `${build.title}: ${barrel.name}, ${mockUp.name}`,
    job: facts([
      ['Job', build.jobNumber],
      ['Customer', customer?.name ?? ''],
      ['Measured by', build.measuredBy],
      ['Measured on', shownDay(lastReadingAt(result) ?? mockUp.createdAt)],
    ]),
    footer: `Portsight ${version}, drawn ${shownTime(printedAt)}`,
  };
}

function facts(pairs: readonly (readonly [string, string])[]): readonly SheetFact[] {
  return pairs.filter(([, value]) => value !== '').map(([name, value]) => ({ name, value }));
}

function lengthText(valueMm: number | null, preferences: Preferences): string {
  if (valueMm === null) return '';
  const unit = preferences.lengthUnit === 'inch' ? 'in' : 'mm';
  const factor = millimetresPerUnit[unit] ?? 1;
  return `${writeNumber(valueMm / factor, unit === 'in' ? 4 : 3, preferences.decimalMark)} ${unit}`;
}

function signed(value: number): string {
  return `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(2)}`;
}

function lastReadingAt(result: MockUpResult): string | null {
  return (
    result.stamps
      .map((stamp) => stamp.root.takenAt)
      .toSorted()
      .at(-1) ?? null
  );
}

/** Events stand among the results only where limits are given; their verdict has no other place on the page. */
function eventsWithLimits(result: MockUpResult) {
  return result.events
    .filter((row) => row.judged.specification !== null)
    .map((row) => ({ title: row.title, value: row.crank, judged: row.judged }))
    .map((row) => ({ ...row, value: row.value === null ? null : { ...row.value, value: quoted(row.value.value) } }));
}

/** As its limits are written: counted from TDC on its own side. */
function quoted(crankDeg: number): number {
  return crankDeg <= 180 ? crankDeg : 360 - crankDeg;
}

function limitsLine(specification: MockUpResult['figures'][number]['judged']['specification']): string {
  if (specification === null) return '';
  return [limitsText(specification) ?? '', specification.source, specification.sourceDate]
    .filter((part) => part !== '')
    .join(', ');
}

function engineFacts(whole: MockUpWhole, preferences: Preferences, pin: string): readonly SheetFact[] {
  if (whole.engine.kind !== 'engine') return [];
  const { data } = whole.engine;
  const side = (offset: { mm: number; side: string }) =>
    offset.mm === 0
      ? ''
      : `${lengthText(offset.mm, preferences)} ${offset.side === 'swing_side' ? 'towards' : 'away from'} the side the crank pin swings to`;
  const count = data.crankPhasesDeg.length;
  const index = whole.mockUp.cylinderIndex;
  return facts([
    ['Engine', [whole.engine.name, whole.engine.marks].filter((part) => part !== '').join(', ')],
    ['Stroke', lengthText(data.strokeMm, preferences)],
    ['Rod length', lengthText(data.rodLengthMm, preferences)],
    ['Bore axis offset', side(data.cylinderOffset)],
    [`Offset of the ${pin}`, side(data.pinOffset)],
    ['Cylinder', count === 1 ? '' : `${data.cylinderNames[index] ?? index + 1} of ${count}`],
  ]);
}

function methodOf(whole: MockUpWhole, result: MockUpResult, length: (value: number) => string): readonly string[] {
  const isCamera = whole.readings.some(
    (reading) => reading.subject.what !== 'quantity' && reading.subject.angle.by === 'camera',
  );
  return [
    `${result.tdc.sentence}.`,
    `Edges judged by: ${criteriaText(whole, length)}. An edge keeps the name that it has turning forwards.`,
    ...leftOutText(result),
    'Result: mean of the means of both directions of turning. ATDC after, BTDC before true TDC.',
    `U = k u with k = 2: placement from repeats, ${isCamera ? 'the camera reader' : 'the step of the wheel'}, true TDC; for one direction only, half the slack.`,
    "Verdict: conforms or does not conform where the value clears its limit by more than U (ISO 14253-1), else it can't be decided.",
  ];
}

/** The criterion of the mock-up, and of each port that is judged by another. */
function criteriaText(whole: MockUpWhole, length: (value: number) => string): string {
  const text = ({ kind, thicknessMm }: EdgeCriterion): string =>
    `${criterionTitles[kind].toLowerCase()}${thicknessMm === 0 ? '' : `, ${length(thicknessMm)} thick, computed out`}`;
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const others = ports.flatMap(({ portId, label }) => {
    const own = whole.mockUp.portCriteria[portId];
    return own === undefined ? [] : [`${label}: ${text(own)}`];
  });
  return [text(whole.mockUp.criterion), ...others].join('; ');
}

/** How many readings of the wheel don't count, and why: what was left out is part of the method. */
function leftOutText({ stamps }: MockUpResult): readonly string[] {
  const ofWheel = stamps.filter(({ current, struck }) => current.subject.what !== 'quantity' && !struck);
  const voided = ofWheel.filter(({ isVoid }) => isVoid);
  const doubtful = ofWheel.filter((stamp) => stamp.doubtful && !stamp.isVoid);
  const counted = (count: number, word: string) => `${count} ${count === 1 ? 'reading is' : 'readings are'} ${word}`;
  const reasons = [...new Set([...voided, ...doubtful].map(({ reason }) => reason))];
  const parts = [
    ...(voided.length === 0 ? [] : [counted(voided.length, 'void')]),
    ...(doubtful.length === 0 ? [] : [counted(doubtful.length, 'in doubt')]),
  ];
  return parts.length === 0 ? [] : [`${parts.join(', ')} and not used: ${reasons.join(' ')}`];
}
