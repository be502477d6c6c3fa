import type { KnownRing, SetupState } from '../state.ts';
import { Straightener } from '../straightener.ts';
import { wrap180 } from '../turn-spectrum.ts';
import type { CodedReading, GreyPicture } from '../types.ts';
import { CodedRingReader, type TurnedRing } from './coded-ring-reader.ts';

/** What the coded ring says about a rotation that was found without it. */
export type CodedVerdict = 'agrees' | 'contradicts' | 'silent';

/** A rotation this near to what the ring says is on the same tick, degrees. */
const sameTickDeg = 0.45;
/** Less of the ring than this could be bent by eccentricity as far as half a tick, before the turn has shown it. */
const leastArcDeg = 200;

/** The coded ring of one set-up, with its rigid model where there is one. */
export class AbsoluteReader {
  private readonly ring: CodedRingReader;
  private readonly turned: TurnedRing | null;
  private readonly reference: KnownRing | null;

  constructor(state: SetupState) {
    this.ring = new CodedRingReader(state.map, state.tiltDeg);
    this.reference = state.codedRing;
    this.turned =
      state.calibration === null || state.codedRing === null
        ? null
        : { straightener: new Straightener(state.calibration.model, state.map), reference: state.codedRing };
  }

  /** @param pointerPx point of the picture whose scale value is wanted, or null */
  read(picture: GreyPicture, pointerPx: readonly [number, number] | null = null): CodedReading {
    const seen = this.ring.readFixed(picture);
    if (seen.state !== 'read') return seen;
    const underPointerDeg = pointerPx === null ? null : this.ring.scaleAt(seen, pointerPx);
    const { grows, absoluteDeg, sigmaDeg, arcDeg, margin } =
      this.turned === null ? seen : this.ring.readTurned(picture, seen, this.turned);
    return { state: 'read', grows, absoluteDeg, sigmaDeg, arcDeg, margin, underPointerDeg };
  }

  /** Rotation from the reference frame by the ring alone, degrees in [0, 360); null where it says nothing certain. */
  rotationDeg(picture: GreyPicture): number | null {
    if (this.reference === null) return null;
    const reading = this.read(picture);
    if (reading.state !== 'read' || reading.grows !== this.reference.grows) return null;
    if (this.turned === null && reading.arcDeg < leastArcDeg) return null;
    return (((reading.absoluteDeg - this.reference.absoluteDeg) % 360) + 360) % 360;
  }
}

/** @param codedDeg what `rotationDeg` gave for the same picture */
export function codedVerdict(codedDeg: number | null, rotationDeg: number): CodedVerdict {
  if (codedDeg === null) return 'silent';
  const apart = Math.abs(wrap180(codedDeg - rotationDeg));
  return apart < sameTickDeg ? 'agrees' : apart > 2 * sameTickDeg ? 'contradicts' : 'silent';
}
