import type { MockUpWhole } from '../../../core/contract/messages.ts';

/** A text that stands on a kept sheet and would stand differently on one drawn now. */
export interface SheetChange {
  readonly what: string;
  /** null where it didn't stand there then. */
  readonly printed: string | null;
  /** null where it no longer would. */
  readonly now: string | null;
}

/** Drawings follow from the figures, and the footer names the time: they would only say the same again. */
const leftOut = new Set([
  'kind',
  'paper',
  'footer',
  'diagram',
  'map',
  'chart',
  'stack',
  'units',
  'mapWidthMm',
  'columns',
  'forwards',
  'backwards',
]);
/** By what the entries of a list are told apart. */
const nameKeys = ['event', 'quantity', 'figure', 'name', 'title', 'text'] as const;
/** Texts that are the entry's only figure need no name of their own. */
const bareKeys = new Set(['value', 'result']);

/** What a kept sheet says otherwise than the same sheet drawn now; figures first compared as they are printed. */
export function sheetChanges(then: unknown, now: unknown): SheetChange[] {
  const before = saidBy(then);
  const after = saidBy(now);
  return [...new Set([...before.keys(), ...after.keys()])]
    .map((what) => ({ what, printed: before.get(what) ?? null, now: after.get(what) ?? null }))
    .filter((change) => change.printed !== change.now);
}

function saidBy(data: unknown): Map<string, string> {
  const said = new Map<string, string>();
  gather(data, [], said);
  return said;
}

function gather(value: unknown, path: readonly string[], said: Map<string, string>): void {
  if (value === null || value === undefined || value === '') return;
  if (typeof value !== 'object') {
    said.set(freeName(path.join(': ') || 'title', said), String(value));
    return;
  }
  if (Array.isArray(value)) {
    for (const entry of value) gatherEntry(entry, path, said);
    return;
  }
  for (const [key, inner] of Object.entries(value)) {
    if (leftOut.has(key)) continue;
    gather(inner, bareKeys.has(key) || typeof inner === 'object' ? path : [...path, key], said);
  }
}

function gatherEntry(entry: unknown, path: readonly string[], said: Map<string, string>): void {
  // A row of a plain table is named by its first cell.
  if (Array.isArray(entry) && entry.every((cell) => typeof cell === 'string')) {
    said.set(freeName([...path, entry[0] ?? ''].join(': '), said), entry.slice(1).join(' · '));
    return;
  }
  if (typeof entry === 'object' && entry !== null && !Array.isArray(entry)) {
    const key = nameKeys.find((one) => typeof (entry as Record<string, unknown>)[one] === 'string');
    if (key !== undefined) {
      const { [key]: name, ...others } = entry as Record<string, unknown>;
      gather(others, [...path, String(name)], said);
      return;
    }
  }
  // A bare line is its own name: it stands there or it doesn't.
  if (typeof entry === 'string') said.set(freeName(entry, said), entry);
  else gather(entry, path, said);
}

/** Two lines of one name stay two. */
function freeName(name: string, said: ReadonlyMap<string, string>): string {
  let free = name;
  for (let count = 2; said.has(free); count += 1) free = `${name} (${count})`;
  return free;
}

/** What was stored since the sheet was kept: where it is nothing, a changed figure comes from a changed formula. */
export interface SinceThen {
  readonly readings: number;
  readonly marks: number;
}

export function storedSince({ readings, marks }: Pick<MockUpWhole, 'readings' | 'marks'>, keptAt: string): SinceThen {
  const isLater = ({ createdAt }: { readonly createdAt: string }) => createdAt > keptAt;
  return { readings: readings.filter(isLater).length, marks: marks.filter(isLater).length };
}

/** The version of the program that drew a sheet, from its footer; null where it doesn't say. */
export function versionIn(snapshot: unknown): string | null {
  if (typeof snapshot !== 'object' || snapshot === null || !('footer' in snapshot)) return null;
  return /^Portsight (\S+?),/.exec(String(snapshot.footer))?.[1] ?? null;
}
