import type { HistoryChange } from '../../core/contract/book-messages.ts';
import { type Reading, readingContentSchema } from '../../core/contract/readings.ts';
import { stepQuantity } from '../../core/mockup/steps.ts';
import { isObject, type Json } from '../state/change-words.ts';
import { writtenUnit } from './unit-words.ts';

const entityTitles: Readonly<Record<string, string>> = {
  customer: 'Customer',
  part: 'Part',
  build: 'Build',
  mock_up: 'Mock-up',
  wheel_setup: 'Set-up of the wheel',
  reading: 'Reading',
  reading_mark: 'Mark on a reading',
  picture: 'Picture',
  sheet: 'Sheet',
};

const partTitles: Readonly<Record<string, string>> = {
  engine: 'Engine',
  barrel: 'Barrel',
  piston: 'Piston',
  head: 'Head',
  gasket: 'Gasket',
};

const markTitles: Readonly<Record<string, string>> = {
  struck: 'taken back',
  restored: 'taken up again',
  doubtful: 'marked as doubtful',
  trusted: 'no longer doubtful',
  void: 'marked as void',
  valid: 'no longer void',
};

/** Kind of record in words. */
export function entityTitle(entity: string, content: Json = null): string {
  const kind = entity === 'part' && isObject(content) ? content['kind'] : undefined;
  return (typeof kind === 'string' ? partTitles[kind] : undefined) ?? entityTitles[entity] ?? entity;
}

/** Which record a change is about: its name, or what the reading says. */
export function changeTitle(change: Pick<HistoryChange, 'entity' | 'before' | 'after' | 'record'>): string {
  const content = change.after ?? change.before;
  const name = isObject(content) ? (content['title'] ?? content['name']) : undefined;
  if (typeof name === 'string' && name !== '') return name;
  const { record } = change;
  if (!isObject(record)) return '';
  if (change.entity === 'reading') return readingTitle(record);
  if (change.entity === 'reading_mark') return readingTitle(record['reading'] ?? null);
  return typeof record['title'] === 'string' ? record['title'] : '';
}

/** What was done, in words. */
export function actionTitle(change: Pick<HistoryChange, 'entity' | 'action' | 'record'>): string {
  if (change.entity === 'reading_mark' && isObject(change.record)) {
    const mark = markTitles[String(change.record['mark'])] ?? 'marked';
    const reason = change.record['reason'];
    return typeof reason === 'string' && reason !== '' ? `${mark}: ${reason}` : mark;
  }
  switch (change.action) {
    case 'create':
      return 'entered';
    case 'update':
      return 'changed';
    case 'remove_details':
      return 'personal details removed';
    default:
      return change.entity === 'wheel_setup' ? 'state kept' : 'kept';
  }
}

function readingTitle(record: Json): string {
  const parsed = readingContentSchema.omit({ id: true }).safeParse(record);
  return parsed.success ? subjectTitle(parsed.data.subject) : '';
}

/** What was read, one line: `port transfers opens, forwards: 118.5 on the wheel`. */
export function subjectTitle(subject: Reading['subject']): string {
  if (subject.what === 'quantity') {
    const known = stepQuantity(subject.quantity);
    const title = known?.title ?? subject.quantity.replaceAll('_', ' ');
    const places = known === null || known.positions === 'each_port' ? [] : known.positions;
    const place = places.find(({ id }) => id === subject.position)?.title ?? subject.position.replaceAll('_', ' ');
    return `${title}${place === '' ? '' : `, ${place}`}: ${subject.typedText === '' ? subject.value : subject.typedText} ${writtenUnit(subject.unit)}`.trim();
  }
  const { angle } = subject;
  const read =
    angle.by === 'typed'
      ? `${angle.typedText} on the wheel`
      : `${angle.rotationDeg.toFixed(2)} deg from the reference frame`;
  const what =
    subject.what === 'port_edge'
      ? `port ${subject.portId} ${subject.edge}`
      : subject.what === 'stop_contact'
        ? 'contact with the stop'
        : 'check of TDC';
  return `${what}, ${subject.turning}: ${read}`;
}
