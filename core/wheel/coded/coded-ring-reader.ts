import { gather } from '../gather.ts';
import { discToPicture, fillRingPositions, type RingMap, ringColumns } from '../ring-map.ts';
import type { KnownRing } from '../state.ts';
import type { Straightener } from '../straightener.ts';
import { wrap180 } from '../turn-spectrum.ts';
import type { CodedReading, GreyPicture } from '../types.ts';
import { codeRows, TrackReader } from './code-tracks.ts';
import { decodeRing } from './decode-ring.ts';
import { cellDeg } from './ring-code.ts';
import { scaleValueAt } from './wheel-face.ts';
import { type Bend, tickRows, type ZeroMark, zeroMarkOf } from './zero-mark.ts';

const rows: readonly number[] = [...codeRows, ...tickRows];
/** A face off its centre bends the ring by half a degree or so, twice the eccentricity over the radius at most. */
export const unknownBend: Bend = { expectedDeg: [0, 0], sigmaDeg: 0.45 };
/** Run-out that must be reckoned with before the turn has shown it, as a slope of the reading per tan(tilt), degrees. */
const unknownRunOutDeg = 0.35;
/** What the turn leaves of the bend, degrees. */
const leftBendDeg = 0.03;
/** How well the direction straight above the centre is known, degrees: the centre is known to a pixel or so. */
const uprightDeg = 0.06;
/** Stretches of the ring this near to a point speak for it, degrees. */
const besideDeg = 35;
/** A second look lies so near the first one, degrees. */
const mostChangeDeg = 1.6;
const nearDeg = 0.3;

/** What the rigid model of a finished turn adds. */
export interface TurnedRing {
  readonly straightener: Straightener;
  readonly reference: KnownRing;
}

/** A reading with all that the ring showed. */
export type RingRead = Omit<Extract<CodedReading, { state: 'read' }>, 'underPointerDeg'> &
  KnownRing &
  Pick<ZeroMark, 'stations'>;
export type RingReading = RingRead | Exclude<CodedReading, { state: 'read' }>;

/** Reads the coded ring of one set-up. Keeps its buffers. */
export class CodedRingReader {
  private readonly xs = new Float32Array(rows.length * ringColumns);
  private readonly ys = new Float32Array(rows.length * ringColumns);
  private readonly samples = new Float32Array(rows.length * ringColumns);
  private readonly tracks = new TrackReader();
  private readonly fixedXs = new Float32Array(rows.length * ringColumns);
  private readonly fixedYs = new Float32Array(rows.length * ringColumns);
  private readonly map: RingMap;
  private readonly upDeg: number;
  private readonly unknownDeg: number;

  /** @param tiltDeg tilt of the wheel against the line of sight, degrees */
  constructor(map: RingMap, tiltDeg: number) {
    fillRingPositions(map.toPicture, rows, this.fixedXs, this.fixedYs);
    this.map = map;
    this.upDeg = straightAboveDeg(map);
    this.unknownDeg = Math.hypot(unknownRunOutDeg * Math.tan((tiltDeg * Math.PI) / 180), uprightDeg);
  }

  /** Through the set-up's own map. */
  readFixed(picture: GreyPicture): RingReading {
    return this.look(picture, this.fixedXs, this.fixedYs, unknownBend, this.unknownDeg);
  }

  /** Looks again at a ring that was read through the fixed map, with eccentricity, run-out and lens taken out. */
  readTurned(picture: GreyPicture, first: RingRead, { straightener, reference }: TurnedRing): RingRead {
    const bend: Bend = { expectedDeg: reference.bendDeg, sigmaDeg: leftBendDeg };
    let reading = first;
    for (let pass = 0; pass < 3; pass++) {
      const rotationDeg = reading.absoluteDeg - reference.absoluteDeg;
      const next = this.lookStraightened(picture, straightener, rotationDeg, bend);
      if (next.state !== 'read' || Math.abs(wrap180(next.absoluteDeg - first.absoluteDeg)) > mostChangeDeg)
        return first;
      const change = Math.abs(wrap180(next.absoluteDeg - reading.absoluteDeg));
      reading = next;
      if (change < nearDeg) break;
    }
    return reading;
  }

  /**
   * Value of the scale at a point of the picture, by a reading through the fixed map: the stretches of the ring beside the
   * point say it, so that what bends the ring elsewhere doesn't matter. Degrees in [0, 360), or null where none is near.
   */
  scaleAt(reading: RingRead, [x, y]: readonly [number, number]): number | null {
    const [u, v] = discToPicture(this.map.toDisc, x, y);
    const angle = Math.atan2(v, u);
    let sum = 0;
    let weights = 0;
    const start = reading.absoluteDeg + this.upDeg;
    for (const station of reading.stations) {
      const away = wrap180(((station.angle - angle) * 180) / Math.PI) / besideDeg;
      if (Math.abs(away) >= 1) continue;
      const weight = (1 - away * away) ** 2;
      sum += weight * wrap180(station.zeroDeg - start);
      weights += weight;
    }
    if (weights === 0) return null;
    return scaleValueAt((angle * 180) / Math.PI - start - sum / weights, reading.grows);
  }

  /** The ring of a picture whose rotation is known to a degree or so from the rigid model. */
  lookStraightened(picture: GreyPicture, straightener: Straightener, rotationDeg: number, bend: Bend): RingReading {
    straightener.fillPositions(rows, rotationDeg, this.xs, this.ys);
    const reading = this.look(picture, this.xs, this.ys, bend, uprightDeg);
    // Straightened, the ring stands as it would at rotation 0.
    return reading.state === 'read' ? { ...reading, absoluteDeg: wrap360(reading.absoluteDeg + rotationDeg) } : reading;
  }

  private look(picture: GreyPicture, xs: Float32Array, ys: Float32Array, bend: Bend, unknownDeg: number): RingReading {
    gather(picture, xs, ys, rows.length * ringColumns, this.samples);
    const proof = decodeRing(this.tracks.read(this.samples.subarray(0, codeRows.length * ringColumns)));
    if (proof === null) return { state: 'not_seen' };
    if (proof.place.isMirrored) return { state: 'mirrored' };
    const zero = zeroMarkOf(proof, this.samples.subarray(codeRows.length * ringColumns), bend);
    if (zero === null) return { state: 'not_seen' };
    return {
      state: 'read',
      absoluteDeg: wrap360(zero.zeroDeg - this.upDeg),
      sigmaDeg: Math.hypot(zero.sigmaDeg, unknownDeg),
      bendDeg: zero.bendDeg,
      stations: zero.stations,
      grows: proof.place.isInverted ? 'anticlockwise' : 'clockwise',
      arcDeg: cellDeg * proof.provenCells,
      margin: proof.margin,
    };
  }
}

/** Ring angle of the direction that the picture shows straight above the wheel's centre, degrees. */
export function straightAboveDeg(map: RingMap): number {
  const [x, y] = discToPicture(map.toPicture, 0, 0);
  const [u, v] = discToPicture(map.toDisc, x, y - 1);
  return (Math.atan2(v, u) * 180) / Math.PI;
}

function wrap360(deg: number): number {
  return deg - 360 * Math.floor(deg / 360);
}
