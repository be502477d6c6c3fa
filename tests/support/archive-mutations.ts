import { deflateRawSync } from 'node:zlib';
import { strToU8, unzipSync, type Zippable, zipSync } from 'fflate';

/** Numbers from a seed, the same everywhere (mulberry32): a counterexample can be run again. */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

const hostileNames = [
  '../escape.json',
  '/etc/escape',
  '..\\escape',
  'C:\\escape',
  'data/../../escape.json',
  'data/readings-0001.json/../../x',
  'pictures/../escape.jpg',
  'data/\u0000.json',
  'con',
  'data/readings-99999.json',
  `data/${'x'.repeat(5000)}.json`,
];
const hostileValues: unknown[] = [
  null,
  0,
  -1,
  1e308,
  '',
  'x'.repeat(100_000),
  [],
  {},
  [[[[[[]]]]]],
  true,
  '../../x',
  "'; DROP TABLE reading; --",
  '\u0000',
  'NaN',
];

/** One broken archive made from a good one; which way it is broken is drawn. */
export function mutateArchive(good: Uint8Array, random: () => number): { bytes: Uint8Array; what: string } {
  const pick = <T>(values: readonly T[]): T => values[Math.floor(random() * values.length)] as T;
  const draw = Math.floor(random() * 6);
  switch (draw) {
    case 0: {
      const bytes = Uint8Array.from(good);
      const flips = 1 + Math.floor(random() * 8);
      for (let count = 0; count < flips; count += 1) {
        const at = Math.floor(random() * bytes.length);
        bytes[at] = (bytes[at] ?? 0) ^ (1 << Math.floor(random() * 8));
      }
      return { bytes, what: `${flips} flipped bits` };
    }
    case 1:
      return { bytes: Uint8Array.from(good.subarray(0, Math.floor(random() * good.length))), what: 'cut short' };
    case 2: {
      const bytes = Uint8Array.from(good);
      const at = Math.floor(random() * bytes.length);
      const length = Math.floor(random() * 400);
      for (let index = at; index < Math.min(bytes.length, at + length); index += 1)
        bytes[index] = Math.floor(random() * 256);
      return { bytes, what: `${length} random bytes` };
    }
    case 3: {
      const files = unzipSync(good) as Zippable;
      files[pick(hostileNames)] = strToU8('x');
      return { bytes: zipSync(files), what: 'a hostile name' };
    }
    case 4: {
      const files = unzipSync(good);
      delete files[pick(Object.keys(files))];
      return { bytes: zipSync(files), what: 'a missing file' };
    }
    default: {
      const files = unzipSync(good);
      const name = pick(Object.keys(files).filter((candidate) => candidate.endsWith('.json')));
      const changed = mutateJson(JSON.parse(Buffer.from(files[name] ?? []).toString()), random, pick);
      files[name] = strToU8(JSON.stringify(changed));
      return { bytes: zipSync(files, { level: 1 }), what: `a changed value in ${name}` };
    }
  }
}

function mutateJson(value: unknown, random: () => number, pick: <T>(values: readonly T[]) => T): unknown {
  if (typeof value !== 'object' || value === null || random() < 0.15) return pick(hostileValues);
  if (Array.isArray(value)) {
    if (value.length === 0) return [pick(hostileValues)];
    const at = Math.floor(random() * value.length);
    if (random() < 0.2) return [...value, value[at]];
    return value.map((item, index) => (index === at ? mutateJson(item, random, pick) : item));
  }
  const keys = Object.keys(value);
  const key = pick(keys.length === 0 ? ['added'] : keys);
  return { ...value, [key]: mutateJson((value as Record<string, unknown>)[key], random, pick) };
}

/** A zip file with one entry that states and unpacks to many zeros. */
export function zipBomb(name: string, bytes: number): Uint8Array {
  return zipSync({ [name]: [new Uint8Array(bytes), { level: 9 }] });
}

/** A zip file whose entry unpacks to more than its directory says. */
export function lyingZip(name: string, stated: number, real: number): Uint8Array {
  const honest = zipSync({ [name]: [new Uint8Array(real), { level: 9 }] });
  const view = Buffer.from(honest);
  const packed = deflateRawSync(Buffer.alloc(real), { level: 9 }).length;
  if (packed === 0) throw new Error('nothing was packed');
  const end = view.lastIndexOf(Buffer.from([0x50, 0x4b, 0x05, 0x06]));
  view.writeUInt32LE(stated, view.readUInt32LE(end + 16) + 24);
  return view;
}
