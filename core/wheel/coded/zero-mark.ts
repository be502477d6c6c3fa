import { medianOf } from '../bundle.ts';
import { columnDeg, ringColumns } from '../ring-map.ts';
import { type PlaceProof, stationColumn, stationCount } from './prove-place.ts';
import { cellCount } from './ring-code.ts';

/** Circles on which the phase of the ticks is taken, in wheel radii: all ticks are at least that long. */
export const tickRows: readonly number[] = [0.952, 0.96, 0.968];

/** Where the zero mark stands. */
export interface ZeroMark {
  /** Degrees clockwise in the ring map, in [0, 360). */
  readonly zeroDeg: number;
  /** Standard uncertainty of that, degrees. */
  readonly sigmaDeg: number;
  /** Wave once round by which the ring is bent, parts along cosine and sine of the ring angle, degrees. */
  readonly bendDeg: readonly [number, number];
  readonly stations: readonly RingStation[];
}

/** Where one stretch of the ring by itself puts the zero mark. */
export interface RingStation {
  /** Ring angle of the stretch, radians. */
  readonly angle: number;
  readonly zeroDeg: number;
}

/** What is known beforehand of the bend of a ring that isn't printed, or doesn't turn, about its centre. */
export interface Bend {
  readonly expectedDeg: readonly [number, number];
  /** Standard uncertainty of both parts, degrees. */
  readonly sigmaDeg: number;
}

const n = ringColumns;
/** Half width of the stretch of ticks that one station looks at, columns (9 degrees). */
const stretchHalf = 51;
/** Shading is taken out by a moving mean over this half width, columns (2 degrees). */
const shadeHalf = 11;
/** Height of the tick wave over the spread of the stretch; below it the ticks say nothing. */
const leastTickWave = 0.35;
/**
 * Motion over a tick takes the tick wave away, and a little more turns it over: then it stands anywhere, or half a tick from
 * where the cells put it. Sharp ticks and cells agree to a tenth of a degree.
 */
const mostDisagreeDeg = 0.2;
/** Scatter of one station by its ticks and by its cells alone, degrees; the stretches overlap. */
const byTicksDeg = 0.05;
const byCellsDeg = 0.2;
const leastStations = 4;

const clean = new Float64Array(n);

/**
 * The zero mark to a fraction of a tick: the cells say which tick it is, the phase of the ticks where it stands.
 * @param ticks `tickRows.length` rows of grey levels, below 0 where outside the picture
 */
export function zeroMarkOf(proof: PlaceProof, ticks: Float32Array, bend: Bend): ZeroMark | null {
  removeShade(ticks);
  const stations: { angle: number; byCells: number; byTicks: number | null }[] = [];
  for (let s = 0; s < stationCount; s++) {
    const lagDeg = proof.lagsDeg[s] ?? null;
    if (lagDeg === null || proof.proven[Math.round((s * cellCount) / stationCount) % cellCount] === 0) continue;
    const column = stationColumn(proof.place, s) + lagDeg / columnDeg;
    const byCells = proof.place.column * columnDeg + lagDeg;
    const phase = tickPhase(column);
    stations.push({
      angle: (2 * Math.PI * column) / n,
      byCells,
      // The tick nearest to where the cells put a whole degree.
      byTicks: phase === null ? null : byCells + (phase - byCells) - Math.round(phase - byCells),
    });
  }
  if (stations.length < leastStations) return null;
  const misses = stations.flatMap((s) => (s.byTicks === null ? [] : [s.byTicks - s.byCells]));
  const ticksCount =
    misses.length >= Math.max(leastStations, 0.6 * stations.length) && medianOf(misses.map(Math.abs)) < mostDisagreeDeg;
  const used = stations.flatMap((s) => {
    if (!ticksCount) return [{ angle: s.angle, zeroDeg: s.byCells }];
    return s.byTicks === null || Math.abs(s.byTicks - s.byCells) > 0.45 ? [] : [{ angle: s.angle, zeroDeg: s.byTicks }];
  });
  return used.length < leastStations ? null : fitted(used, ticksCount ? byTicksDeg : byCellsDeg, bend);
}

function removeShade(ticks: Float32Array): void {
  const rows = tickRows.length;
  let sum = 0;
  let count = 0;
  const mean = (x: number): number => {
    let v = 0;
    for (let r = 0; r < rows; r++) {
      const sample = ticks[r * n + x] as number;
      if (sample < 0) return -1;
      v += sample;
    }
    return v / rows;
  };
  const raw = Float64Array.from({ length: n }, (_, x) => mean(x));
  const take = (column: number, sign: 1 | -1): void => {
    const v = raw[((column % n) + n) % n] as number;
    if (v < 0) return;
    sum += sign * v;
    count += sign;
  };
  for (let x = -shadeHalf; x <= shadeHalf; x++) take(x, 1);
  for (let x = 0; x < n; x++) {
    const v = raw[x] as number;
    clean[x] = v < 0 || count === 0 ? 0 : v - sum / count;
    take(x + shadeHalf + 1, 1);
    take(x - shadeHalf, -1);
  }
}

/** Where the ticks beside a column stand, degrees modulo 1, or null where they don't show. Ticks are dark. */
function tickPhase(column: number): number | null {
  const middle = Math.round(column);
  let re = 0;
  let im = 0;
  let energy = 0;
  let weights = 0;
  for (let d = -stretchHalf; d <= stretchHalf; d++) {
    const x = (((middle + d) % n) + n) % n;
    const w = 0.5 + 0.5 * Math.cos((Math.PI * d) / (stretchHalf + 1));
    const t = 2 * Math.PI * (x * columnDeg);
    const v = clean[x] as number;
    re += w * v * Math.cos(t);
    im += w * v * Math.sin(t);
    energy += w * v * v;
    weights += w;
  }
  const height = (2 * Math.hypot(re, im)) / weights;
  const spread = Math.sqrt(energy / weights);
  if (spread < 1 || height < leastTickWave * spread * Math.SQRT2) return null;
  return Math.atan2(-im, -re) / (2 * Math.PI);
}

/** Least squares for the turn and the bend, the bend held near what is known of it; bad stations lose their weight. */
function fitted(stations: readonly RingStation[], stationDeg: number, bend: Bend): ZeroMark {
  const start = stations[0]?.zeroDeg ?? 0;
  const [knownX, knownY] = bend.expectedDeg;
  const hold = bend.sigmaDeg ** -2;
  let turn = 0;
  let bendX = 0;
  let bendY = 0;
  let variance = 0;
  let scatter = stationDeg;
  for (let pass = 0; pass < 4; pass++) {
    let [a00, a01, a02, a11, a12, a22, b0, b1, b2] = [0, 0, 0, hold, 0, hold, 0, 0, 0];
    const misses: number[] = [];
    for (const { angle, zeroDeg } of stations) {
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      const v = zeroDeg - start - 360 * Math.round((zeroDeg - start) / 360) - knownX * c - knownY * s;
      const miss = v - turn - bendX * c - bendY * s;
      const e = pass === 0 ? 0 : miss / (4.7 * Math.max(stationDeg, scatter));
      misses.push(Math.abs(miss));
      if (Math.abs(e) >= 1) continue;
      const w = ((1 - e * e) / stationDeg) ** 2;
      a00 += w;
      a01 += w * c;
      a02 += w * s;
      a11 += w * c * c;
      a12 += w * c * s;
      a22 += w * s * s;
      b0 += w * v;
      b1 += w * c * v;
      b2 += w * s * v;
    }
    scatter = 1.4826 * medianOf(misses);
    const d0 = a11 * a22 - a12 * a12;
    const d1 = a01 * a22 - a12 * a02;
    const d2 = a01 * a12 - a11 * a02;
    const det = a00 * d0 - a01 * d1 + a02 * d2;
    turn = (b0 * d0 - a01 * (b1 * a22 - a12 * b2) + a02 * (b1 * a12 - a11 * b2)) / det;
    bendX = (a00 * (b1 * a22 - a12 * b2) - b0 * d1 + a02 * (a01 * b2 - b1 * a02)) / det;
    bendY = (a00 * (a11 * b2 - b1 * a12) - a01 * (a01 * b2 - b1 * a02) + b0 * d2) / det;
    variance = d0 / det;
  }
  const zero = start + turn;
  const grown = Math.max(1, (scatter / stationDeg) ** 2);
  return {
    zeroDeg: zero - 360 * Math.floor(zero / 360),
    sigmaDeg: Math.sqrt(variance * grown),
    bendDeg: [knownX + bendX, knownY + bendY],
    stations,
  };
}
