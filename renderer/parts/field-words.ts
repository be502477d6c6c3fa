import { type FieldPath, isObject, type Json } from '../state/change-words.ts';
import { criterionTitles } from './forms/mock-up-form.tsx';
import { shownTime } from './time-text.ts';
import { writeNumber } from './typed-number.ts';

/** Names of records by their id, for fields that refer to one. */
export type NameOf = (id: string) => string | null;

/** Names of fields where the field's own name doesn't read as words. */
const titles: Readonly<Record<string, string>> = {
  title: 'title',
  customerId: 'customer',
  engineId: 'engine',
  barrelId: 'barrel',
  pistonId: 'piston',
  headId: 'head',
  baseGasketId: 'base gasket',
  headGasketId: 'head gasket',
  baseGasketMm: 'base gasket as fitted',
  headGasketMm: 'head gasket as fitted',
  boreMm: 'bore',
  cylinderIndex: 'cylinder',
  criterion: 'an edge counts at',
  thicknessMm: 'thickness of blade or wire',
  edgeFromDeckMm: 'edge from the top',
  widthMm: 'width, chord',
  roofDropMm: 'drop of the roof',
  azimuthDeg: 'aimed, around',
  elevationDeg: 'aimed, upwards',
  crankPhasesDeg: 'crank angles of the cylinders',
  crankcaseVolumeBdcCc: 'crankcase volume at BDC',
  speedRpm: 'highest running speed',
  specifications: 'limits',
  ports: 'port',
  mm: 'size',
  lower: 'lower limit',
  upper: 'upper limit',
};
/** Steps of a path that only hold other fields. */
const holders = new Set(['data', 'ports', 'specifications']);

const units: readonly (readonly [RegExp, string])[] = [
  [/Mm$/, 'mm'],
  [/Deg$/, 'deg'],
  [/Cc$/, 'cm³'],
  [/Rpm$/, 'rev/min'],
  [/TemperatureC$/, '°C'],
  [/MassG$|^massG$/, 'g'],
  [/^mm$/, 'mm'],
];

/**
 * A field in words: `port Exhaust: width, chord`.
 * @param record the version that names its ports
 */
export function fieldTitle(path: FieldPath, record: Json): string {
  const words = path
    .filter((step) => typeof step !== 'string' || !holders.has(step))
    .map((step) => (typeof step === 'string' ? nameOfField(step) : entryTitle(step, record)));
  const text = words.join(': ');
  return text === '' ? 'everything' : text;
}

function nameOfField(key: string): string {
  const known = titles[key];
  if (known !== undefined) return known;
  const unit = units.find(([ending]) => ending.test(key));
  const bare = unit === undefined || unit[0].source.startsWith('^') ? key : key.replace(/(Mm|Deg|Cc|Rpm|C|G)$/, '');
  return bare.replaceAll(/([a-z])([A-Z])/g, '$1 $2').toLowerCase();
}

function entryTitle(step: { readonly key: string; readonly id: string }, record: Json): string {
  if (step.key === 'quantity') return `limits of ${step.id.replaceAll('_', ' ')}`;
  const data = isObject(record) ? record['data'] : undefined;
  const ports = isObject(data) ? data['ports'] : undefined;
  const port = Array.isArray(ports) ? ports.find((entry) => isObject(entry) && entry['portId'] === step.id) : undefined;
  const label = isObject(port) ? port['label'] : undefined;
  return `port ${typeof label === 'string' ? label : step.id}`;
}

/** A stored value as a person reads it. */
export function fieldValue(path: FieldPath, value: Json | undefined, nameOf: NameOf, mark: 'point' | 'comma'): string {
  const key = path.findLast((step) => typeof step === 'string') ?? '';
  if (value === undefined) return 'not there';
  if (value === null || value === '') return 'empty';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (typeof value === 'number') {
    if (key === 'cylinderIndex') return String(value + 1);
    const unit = units.find(([ending]) => ending.test(key))?.[1] ?? '';
    return `${writeNumber(value, 6, mark)} ${unit}`.trim();
  }
  if (typeof value === 'string') {
    if (/Id$/.test(key)) return nameOf(value) ?? 'a record that is not in the book';
    if (/^\d{4}-\d\d-\d\dT/.test(value)) return shownTime(value);
    return value in criterionTitles && key === 'kind'
      ? criterionTitles[value as keyof typeof criterionTitles]
      : value.replaceAll(/^(\w+)_(\w+)$/g, '$1 $2');
  }
  if (Array.isArray(value)) {
    return value.length === 0 ? 'none' : value.map((entry) => fieldValue(path, entry, nameOf, mark)).join(', ');
  }
  const label = value['label'] ?? value['name'] ?? value['title'];
  if (typeof label === 'string') return label;
  return Object.entries(value)
    .filter(([, inner]) => inner !== null && inner !== '')
    .map(([innerKey, inner]) => `${nameOfField(innerKey)} ${fieldValue([innerKey], inner, nameOf, mark)}`)
    .join(', ');
}
