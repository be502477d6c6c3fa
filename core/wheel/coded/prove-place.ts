import { columnDeg, ringColumns } from '../ring-map.ts';
import type { CodeTracks } from './code-tracks.ts';
import { type RingPlace, waveAt } from './code-wave.ts';
import { cellCount, cellDeg, ringBits, shortArcCells, shortArcDistance } from './ring-code.ts';

/** Places round the ring at which it is laid against the wave. */
export const stationCount = 36;
const stationStep = cellCount / stationCount;
/** Cells to each side of a station that take part. */
const stationHalf = 10;
const cellColumns = cellDeg / columnDeg;
/** A ring off its centre is bent by so much at most, columns: 0.8 mm of eccentricity twice over on a small wheel. */
const mostLag = 9;
/** Neighbouring stations may differ by no more than this, degrees. */
const mostBendDeg = 0.6;
/** Share of a station's columns that must be trusted. */
const leastTrusted = 0.35;
/** Cells are read over this much of their width, and say nothing between these heights. */
const readHalf = 0.27 * cellColumns;
const leastHeight = 0.3;

const n = ringColumns;

/** What the tracks say about one place of the ring. */
export interface PlaceProof {
  readonly place: RingPlace;
  /** Per cell: 1 it agrees, -1 it contradicts, 0 it can't be read. */
  readonly cells: Int8Array;
  /** 1 for cells that lie in an arc which proves the place. */
  readonly proven: Uint8Array;
  /** Per station: how far the ring lies from the place there, degrees clockwise; null where it can't be laid. */
  readonly lagsDeg: readonly (number | null)[];
  /** Cells that lie in proving arcs. */
  readonly provenCells: number;
  /** How much of the code's distance the best arc left unused, 0 (just proven) to 1 (without a flaw). */
  readonly margin: number;
}

/** Picture column, real, of a face position in columns from the zero mark. */
function columnOf(place: RingPlace, faceColumn: number): number {
  return place.isMirrored ? place.column - faceColumn : place.column + faceColumn;
}

/** Column of the middle of a station when the ring lies at `place`. */
export function stationColumn(place: RingPlace, station: number): number {
  return columnOf(place, station * stationStep * cellColumns);
}

/**
 * Lays the ring at a place against the tracks. An arc of 30 cells proves the place when twice its contradicting cells and
 * its unread ones are together fewer than the distance of the code: then no other arc of the ring, mirrored or inverted,
 * agrees with what is seen as well as this one.
 * @returns null where no arc proves it, or where too much elsewhere contradicts
 */
export function provePlace(tracks: CodeTracks, place: RingPlace): PlaceProof | null {
  const lags = Array.from({ length: stationCount }, (_, s) => stationLag(tracks, place, s));
  const lagsDeg = lags.map((lag, s) => {
    if (lag === null) return null;
    const before = lags[(s + stationCount - 1) % stationCount] ?? null;
    const after = lags[(s + 1) % stationCount] ?? null;
    const far = (other: number | null): boolean => other !== null && Math.abs(other - lag) * columnDeg > mostBendDeg;
    return far(before) && far(after) ? null : lag * columnDeg;
  });
  const cells = new Int8Array(cellCount);
  for (let c = 0; c < cellCount; c++) cells[c] = readCell(tracks, place, c, lagsDeg);
  const proven = new Uint8Array(cellCount);
  let best = shortArcDistance;
  for (let start = 0; start < cellCount; start++) {
    let lost = 0;
    for (let i = 0; i < shortArcCells; i++) {
      const cell = cells[(start + i) % cellCount] as number;
      lost += cell === 1 ? 0 : cell === 0 ? 1 : 2;
    }
    if (lost >= shortArcDistance) continue;
    best = Math.min(best, lost);
    for (let i = 0; i < shortArcCells; i++) proven[(start + i) % cellCount] = 1;
  }
  let provenCells = 0;
  let agree = 0;
  let contradict = 0;
  for (let c = 0; c < cellCount; c++) {
    provenCells += proven[c] as number;
    if (cells[c] === 1) agree++;
    else if (cells[c] === -1) contradict++;
  }
  // What covers the ring contradicts now and then; a ring that lies elsewhere contradicts in half of its cells.
  if (provenCells === 0 || contradict > 0.3 * agree) return null;
  return { place, cells, proven, lagsDeg, provenCells, margin: 1 - best / shortArcDistance };
}

const scores = new Float64Array(2 * mostLag + 1);

function stationLag(tracks: CodeTracks, place: RingPlace, station: number): number | null {
  const { value, trusted } = tracks;
  const middle = station * stationStep * cellColumns;
  const half = stationHalf * cellColumns;
  const sign = place.isInverted ? -1 : 1;
  scores.fill(0);
  let count = 0;
  const first = Math.ceil(columnOf(place, middle) - half);
  const last = Math.floor(columnOf(place, middle) + half);
  for (let column = first; column <= last; column++) {
    const x = ((column % n) + n) % n;
    if (!trusted[x]) continue;
    count++;
    const v = sign * (value[x] as number);
    for (let lag = -mostLag; lag <= mostLag; lag++) {
      const onFace = place.isMirrored ? place.column + lag - column : column - place.column - lag;
      scores[lag + mostLag] = (scores[lag + mostLag] as number) + v * waveAt(onFace);
    }
  }
  if (count < leastTrusted * 2 * half) return null;
  let best = 0;
  for (let i = 1; i < scores.length; i++) if ((scores[i] as number) > (scores[best] as number)) best = i;
  const peak = scores[best] as number;
  if (peak < 0.4 * count) return null;
  if (best === 0 || best === scores.length - 1) return null;
  const left = scores[best - 1] as number;
  const right = scores[best + 1] as number;
  const bend = left - 2 * peak + right;
  const between = bend < -1e-9 ? Math.max(-0.5, Math.min(0.5, (left - right) / (2 * bend))) : 0;
  return best - mostLag + between;
}

function readCell(tracks: CodeTracks, place: RingPlace, cell: number, lagsDeg: readonly (number | null)[]): -1 | 0 | 1 {
  const station = Math.round((cell + 0.5) / stationStep) % stationCount;
  const lagDeg = lagsDeg[station] ?? null;
  if (lagDeg === null) return 0;
  const middle = columnOf(place, (cell + 0.5) * cellColumns) + lagDeg / columnDeg;
  let sum = 0;
  let count = 0;
  let all = 0;
  for (let column = Math.ceil(middle - readHalf); column <= middle + readHalf; column++) {
    const x = ((column % n) + n) % n;
    all++;
    if (!tracks.trusted[x]) continue;
    sum += tracks.value[x] as number;
    count++;
  }
  if (count * 2 < all) return 0;
  const bit = (ringBits[cell] === 1) !== place.isInverted ? 1 : -1;
  const height = (bit * sum) / count;
  return height > leastHeight ? 1 : height < -leastHeight ? -1 : 0;
}
