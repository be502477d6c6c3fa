import { columnDeg, ringColumns } from './ring-map.ts';
import { centres, halfWidth, minShare, sectorCos, sectorCount, sectorSin, windowLength } from './sectors.ts';
import { ringRowCount, type Strip } from './strip.ts';

/** Lags searched for the tick, columns to either side (4.5 degrees). */
const lagHalf = 26;
const lagCount = 2 * lagHalf + 1;

/** Sector-wise correlation table; reused. 0 where too little of a sector is seen, which `tableOk` tells apart. */
const table = new Float64Array(sectorCount * lagCount);
const tableOk = new Uint8Array(sectorCount * lagCount);
const sectorOk = new Uint8Array(sectorCount);
/** Every third row is enough for finding the tick. */
const lagRows = Array.from({ length: Math.ceil((ringRowCount - 1) / 3) }, (_, i) => 1 + 3 * i);

/** Rows of a strip one after the other, each going on past its end, with 0 where it isn't valid. */
class Runs {
  readonly values = new Float32Array(lagRows.length * runLength);
  readonly energy = new Float64Array(runLength);
  readonly valid = new Uint8Array(runLength);

  fill(strip: Strip): void {
    const n = ringColumns;
    this.energy.fill(0);
    for (let i = 0; i < runLength; i++) this.valid[i] = strip.valid[i % n] as number;
    for (let k = 0; k < lagRows.length; k++) {
      const from = (lagRows[k] as number) * n;
      for (let i = 0; i < runLength; i++) {
        const v = this.valid[i] ? (strip.values[from + (i % n)] as number) : 0;
        this.values[k * runLength + i] = v;
        this.energy[i] = (this.energy[i] as number) + v * v;
      }
    }
  }
}
/** A window may begin at the last column. */
const runLength = ringColumns + windowLength;
const referenceRuns = new Runs();
const frameRuns = new Runs();

/** Fills the table: NCC of each reference sector with the frame at `base` + lag columns. */
export function fillLagTable(reference: Strip, frame: Strip, baseColumns: number): void {
  const n = ringColumns;
  referenceRuns.fill(reference);
  frameRuns.fill(frame);
  for (let s = 0; s < sectorCount; s++) {
    const left = ((centres[s] as number) - halfWidth + n) % n;
    let referenceIn = 0;
    for (let i = left; i < left + windowLength; i++) referenceIn += referenceRuns.valid[i] as number;
    sectorOk[s] = referenceIn >= minShare * windowLength ? 1 : 0;
    if (!sectorOk[s]) continue;
    for (let l = 0; l < lagCount; l++) {
      const start = (((left + baseColumns + l - lagHalf) % n) + n) % n;
      let aa = 0;
      let bb = 0;
      let used = 0;
      for (let i = 0; i < windowLength; i++) {
        const inFrame = frameRuns.valid[start + i] as number;
        const inReference = referenceRuns.valid[left + i] as number;
        used += inFrame & inReference;
        aa += inFrame * (referenceRuns.energy[left + i] as number);
        bb += inReference * (frameRuns.energy[start + i] as number);
      }
      const isSeen = used >= minShare * windowLength;
      tableOk[s * lagCount + l] = isSeen ? 1 : 0;
      table[s * lagCount + l] = isSeen ? crossOfRuns(left, start) / Math.sqrt(aa * bb + 1e-9) : 0;
    }
  }
}

function crossOfRuns(left: number, start: number): number {
  const a = referenceRuns.values;
  const b = frameRuns.values;
  let sum = 0;
  for (let k = 0; k < lagRows.length; k++) {
    const end = k * runLength + left + windowLength;
    for (let i = end - windowLength, j = k * runLength + start; i < end; i++, j++)
      sum += (a[i] as number) * (b[j] as number);
  }
  return sum;
}

/** Rotation with first harmonic: shift(phi) = a0 + a1 cos phi + b1 sin phi, degrees. */
export interface TickSearch {
  a0Deg: number;
  a1Deg: number;
  b1Deg: number;
  /** Mean NCC over the usable sectors. */
  score: number;
  /** The same for the best answer at least 0.7 ticks away. */
  rivalScore: number;
}

const amplitudeStep = 0.2;
const amplitudeCount = 10;

/**
 * Which tick: finds the rotation, with the first harmonic that eccentricity puts on it, that the sectors agree on.
 * Deciding sector by sector fails: eccentric shifts differ by more than half a tick round the ring.
 */
export function searchTick(baseDeg: number, tickDeg: number): TickSearch {
  const best: TickSearch = { a0Deg: baseDeg, a1Deg: 0, b1Deg: 0, score: -2, rivalScore: -2 };
  bestPerLag.fill(-2);
  for (let i = -amplitudeCount; i <= amplitudeCount; i++) {
    for (let j = -amplitudeCount; j <= amplitudeCount; j++) {
      if (i * i + j * j > amplitudeCount * amplitudeCount) continue;
      const a1 = i * amplitudeStep;
      const b1 = j * amplitudeStep;
      lagSum.fill(0);
      lagUsed.fill(0);
      for (let s = 0; s < sectorCount; s++) {
        if (!sectorOk[s]) continue;
        const offset = Math.round((a1 * (sectorCos[s] as number) + b1 * (sectorSin[s] as number)) / columnDeg);
        const to = Math.min(lagCount, lagCount - offset);
        for (let l = Math.max(0, -offset), k = s * lagCount + l + offset; l < to; l++, k++) {
          lagSum[l] = (lagSum[l] as number) + (table[k] as number);
          lagUsed[l] = (lagUsed[l] as number) + (tableOk[k] as number);
        }
      }
      for (let l = 0; l < lagCount; l++) {
        const used = lagUsed[l] as number;
        if (used < 8) continue;
        const score = (lagSum[l] as number) / Math.max(used, 14);
        if (score > (bestPerLag[l] as number)) bestPerLag[l] = score;
        if (score > best.score) {
          best.score = score;
          best.a0Deg = baseDeg + (l - lagHalf) * columnDeg;
          best.a1Deg = a1;
          best.b1Deg = b1;
        }
      }
    }
  }
  const bestLag = Math.round((best.a0Deg - baseDeg) / columnDeg) + lagHalf;
  for (let l = 0; l < lagCount; l++)
    if (Math.abs(l - bestLag) * columnDeg > 0.7 * tickDeg && (bestPerLag[l] as number) > best.rivalScore)
      best.rivalScore = bestPerLag[l] as number;
  return best;
}
const bestPerLag = new Float64Array(lagCount);
const lagSum = new Float64Array(lagCount);
const lagUsed = new Float64Array(lagCount);
