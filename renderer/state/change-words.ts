import type { HistoryChange } from '../../core/contract/book-messages.ts';

/** A JSON value as the log holds it. */
export type Json = HistoryChange['before'];

/** Where a field stands in a record: keys, and for entries of a list the id by which they are told apart. */
export type FieldPath = readonly (string | { readonly key: string; readonly id: string })[];

export interface FieldChange {
  readonly path: FieldPath;
  /** undefined where the field wasn't there. */
  readonly before: Json | undefined;
  readonly after: Json | undefined;
}

/** Keys by which the entries of a list are told apart, so that adding one doesn't look like changing all. */
const listKeys = ['portId', 'quantity', 'id'] as const;

/** What differs between two versions of a record, field by field. */
export function fieldChanges(before: Json, after: Json, path: FieldPath = []): FieldChange[] {
  if (same(before, after)) return [];
  if (isObject(before) && isObject(after)) {
    return [...new Set([...Object.keys(before), ...Object.keys(after)])].flatMap((key) =>
      whereMissing([...path, key], before[key], after[key]),
    );
  }
  const key = Array.isArray(before) && Array.isArray(after) ? listKeyOf([...before, ...after]) : null;
  if (key !== null && Array.isArray(before) && Array.isArray(after)) {
    const ids = [...new Set([...before, ...after].map((entry) => idIn(entry, key)))];
    return ids.flatMap((id) => whereMissing([...path, { key, id }], find(before, key, id), find(after, key, id)));
  }
  return [{ path, before, after }];
}

function whereMissing(path: FieldPath, before: Json | undefined, after: Json | undefined): FieldChange[] {
  if (before === undefined && after === undefined) return [];
  // A missing value and an empty one mean the same to a person.
  if (before === undefined || after === undefined) {
    const other = before ?? after;
    return other === null || other === '' ? [] : [{ path, before, after }];
  }
  return fieldChanges(before, after, path);
}

/** The value at a path; undefined where there is none. */
export function valueAt(record: Json | undefined, path: FieldPath): Json | undefined {
  let value: Json | undefined = record;
  for (const step of path) {
    if (typeof step === 'string') value = isObject(value) ? value[step] : undefined;
    else value = Array.isArray(value) ? find(value, step.key, step.id) : undefined;
  }
  return value;
}

/** The record with another value at a path; an entry of a list that is gone comes back at its end. */
export function withValueAt(record: Json | undefined, path: FieldPath, value: Json | undefined): Json | undefined {
  const [step, ...rest] = path;
  if (step === undefined) return value;
  if (typeof step === 'string') {
    const object = isObject(record) ? record : {};
    const inner = withValueAt(object[step], rest, value);
    const { [step]: _, ...others } = object;
    return inner === undefined ? others : { ...object, [step]: inner };
  }
  const list = Array.isArray(record) ? record : [];
  const inner = withValueAt(find(list, step.key, step.id), rest, value);
  if (inner === undefined) return list.filter((entry) => idIn(entry, step.key) !== step.id);
  return find(list, step.key, step.id) === undefined
    ? [...list, inner]
    : list.map((entry) => (idIn(entry, step.key) === step.id ? inner : entry));
}

export function same(one: Json | undefined, other: Json | undefined): boolean {
  if (one === other) return true;
  if (Array.isArray(one) && Array.isArray(other)) {
    return one.length === other.length && one.every((entry, at) => same(entry, other[at]));
  }
  if (isObject(one) && isObject(other)) {
    const keys = new Set([...Object.keys(one), ...Object.keys(other)]);
    return [...keys].every((key) => same(one[key], other[key]));
  }
  return false;
}

export function isObject(value: Json | undefined): value is { [key: string]: Json } {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function listKeyOf(entries: readonly Json[]): string | null {
  return listKeys.find((key) => entries.length > 0 && entries.every((entry) => idIn(entry, key) !== '')) ?? null;
}

function idIn(entry: Json, key: string): string {
  const id = isObject(entry) ? entry[key] : undefined;
  return typeof id === 'string' ? id : '';
}

function find(list: readonly Json[], key: string, id: string): Json | undefined {
  return list.find((entry) => idIn(entry, key) === id);
}
