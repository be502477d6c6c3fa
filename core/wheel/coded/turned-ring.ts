import { medianOf } from '../bundle.ts';
import type { Keyframe, KnownRing, SetupState } from '../state.ts';
import { Straightener } from '../straightener.ts';
import { wrap180 } from '../turn-spectrum.ts';
import type { GreyPicture } from '../types.ts';
import { CodedRingReader, unknownBend } from './coded-ring-reader.ts';

/** A frame must show so much of the ring, degrees, to tell a bend from a turn. */
const leastArcDeg = 200;
/** Frames that must show the ring. */
const leastFrames = 3;
/** Frames of one turn agree within this, degrees; a wheel that slipped on its shaft doesn't. */
const mostSpreadDeg = 0.3;

/**
 * The coded ring in the reference frame as all frames of a turn show it together, through the rigid model: better than the
 * reference frame alone, and known also where that frame had it covered.
 * @returns what was known before where too few frames show it or they disagree
 */
export function codedRingOfTurn(
  setup: SetupState,
  keyframes: readonly Keyframe[],
  pictureOf: (keyframe: Keyframe) => GreyPicture | undefined,
): KnownRing | null {
  if (setup.calibration === null) return setup.codedRing;
  const reader = new CodedRingReader(setup.map, setup.tiltDeg);
  const straightener = new Straightener(setup.calibration.model, setup.map);
  const seen: KnownRing[] = [];
  for (const keyframe of keyframes) {
    const picture = pictureOf(keyframe);
    if (picture === undefined) continue;
    const reading = reader.lookStraightened(picture, straightener, keyframe.rotationDeg, unknownBend);
    if (reading.state === 'read' && reading.arcDeg >= leastArcDeg)
      seen.push({ ...reading, absoluteDeg: reading.absoluteDeg - keyframe.rotationDeg });
    // An ordinary wheel shows no ring in any frame: no need to look at them all.
    else if (reading.state !== 'read' && setup.codedRing === null && seen.length === 0) return null;
  }
  const [first] = seen;
  if (first === undefined || seen.length < leastFrames || seen.some((s) => s.grows !== first.grows))
    return setup.codedRing;
  const off = seen.map((s) => wrap180(s.absoluteDeg - first.absoluteDeg));
  const middle = medianOf([...off]);
  const spread = 1.4826 * medianOf(off.map((o) => Math.abs(o - middle)));
  if (spread > mostSpreadDeg) return setup.codedRing;
  const absoluteDeg = first.absoluteDeg + middle;
  return {
    grows: first.grows,
    absoluteDeg: absoluteDeg - 360 * Math.floor(absoluteDeg / 360),
    bendDeg: [medianOf(seen.map((s) => s.bendDeg[0])), medianOf(seen.map((s) => s.bendDeg[1]))],
    sigmaDeg: medianOf(seen.map((s) => Math.hypot(s.sigmaDeg, spread / Math.sqrt(seen.length)))),
  };
}
