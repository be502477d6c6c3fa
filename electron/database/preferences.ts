import { closeSync, fsyncSync, openSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };

/** View preferences: one small file beside the book, replaced as a whole; they are no part of the record. */
export interface Preferences {
  all(): Record<string, Json>;
  set(key: string, value: Json): void;
}

const fileName = 'preferences.json';

export function createPreferences(folder: string): Preferences {
  const path = join(folder, fileName);
  let known: Record<string, Json> | null = null;
  function load(): Record<string, Json> {
    if (known !== null) return known;
    let found: unknown = {};
    try {
      found = JSON.parse(readFileSync(path, 'utf8'));
    } catch {
      // Missing or damaged: preferences start from their defaults, the book is not concerned.
    }
    known =
      typeof found === 'object' && found !== null && !Array.isArray(found)
        ? { ...(found as Record<string, Json>) }
        : {};
    return known;
  }
  return {
    all: load,
    set(key, value) {
      const next = { ...load(), [key]: value };
      const temporary = `${path}.new`;
      const file = openSync(temporary, 'w', 0o600);
      try {
        writeFileSync(file, JSON.stringify(next, null, 2));
        fsyncSync(file);
      } finally {
        closeSync(file);
      }
      renameSync(temporary, path);
      known = next;
    },
  };
}
