/**
 * Looks for the bits of the coded ring: `node build/derive-ring-code.ts [SEED]` prints them as hexadecimal digits for
 * `core/wheel/coded/ring-code.ts`. A simulated annealing over all rings of 180 bits; what it minimises is the number of
 * pairs of arcs that are more alike than the distance asked for. The tests check the printed ring exhaustively, so how it
 * was found need not be believed.
 */
import { cellCount, shortArcCells } from '../core/wheel/coded/ring-code.ts';

/** Arcs of this many cells differ in at least so many, wherever they lie, mirrored or inverted. */
const wanted = [
  { cells: shortArcCells, distance: 7, weight: 1 },
  { cells: 20, distance: 3, weight: 1 },
] as const;
const longestRun = 4;

/** Small generator (mulberry32), so that a seed gives the same ring everywhere. */
function generator(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

const n = cellCount;
const differs = new Uint8Array(2 * n);

/** How much too alike the arcs of a ring are; 0 is what is looked for. */
function cost(bits: Uint8Array): number {
  let sum = 0;
  let ones = 0;
  let run = 0;
  for (let i = 0; i < 2 * n; i++) {
    run = i > 0 && bits[i % n] === bits[(i - 1) % n] ? run + 1 : 1;
    if (run > longestRun && i < n + longestRun) sum += 4;
    if (i < n) ones += bits[i] as number;
  }
  sum += Math.max(0, Math.abs(ones - n / 2) - 2);
  for (const mirrored of [false, true])
    for (let lag = mirrored ? 0 : 1; lag < (mirrored ? n : n / 2 + 1); lag++) {
      for (let i = 0; i < n; i++) {
        const j = mirrored ? (lag + n - i) % n : (i + lag) % n;
        const d = (bits[i] as number) ^ (bits[j] as number);
        differs[i] = d;
        differs[i + n] = d;
      }
      for (const { cells, distance, weight } of wanted) {
        let d = 0;
        for (let i = 0; i < cells; i++) d += differs[i] as number;
        for (let i = 0; i < n; i++) {
          // Far from every cell alike and far from every cell inverted.
          const least = Math.min(d, cells - d);
          if (least < distance) sum += weight * (distance - least);
          d += (differs[i + cells] as number) - (differs[i] as number);
        }
      }
    }
  return sum;
}

const random = generator(Number(process.argv[2] ?? 2));
const bits = Uint8Array.from({ length: n }, () => (random() < 0.5 ? 1 : 0));
let current = cost(bits);
const started = Date.now();
for (let step = 0, heat = 6; current > 0; step++, heat = Math.max(0.4, heat * 0.9998)) {
  const flips = random() < 0.7 ? 1 : 2;
  const at = Array.from({ length: flips }, () => Math.floor(random() * n));
  for (const i of at) bits[i] = 1 - (bits[i] as number);
  const next = cost(bits);
  if (next <= current || random() < Math.exp((current - next) / heat)) current = next;
  else for (const i of at) bits[i] = 1 - (bits[i] as number);
  if (step % 2000 === 0) console.error(`${step}: ${current}`);
  if (Date.now() - started > 240_000) break;
}
let hex = '';
for (let i = 0; i < n; i += 4) {
  let digit = 0;
  for (let b = 0; b < 4; b++) digit = 2 * digit + (bits[i + b] as number);
  hex += digit.toString(16);
}
console.log(current === 0 ? hex : `not found; ${current} left: ${hex}`);
