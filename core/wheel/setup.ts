import { rememberBackground } from './background.ts';
import { concentric, inPictureFraction, leastCoherence } from './centred-rim.ts';
import { CodedRingReader } from './coded/coded-ring-reader.ts';
import type { TickComb } from './comb.ts';
import { axisRatio, meanRadiusPx } from './ellipse.ts';
import { findWheelAbout } from './find-wheel.ts';
import type { ImageOps } from './image-ops.ts';
import { outerEndOfTicks, refineRim, type TickedRim } from './refine-rim.ts';
import { ringColumns, ringMap } from './ring-map.ts';
import type { KnownRing, SetupState } from './state.ts';
import { emptyStrip, faceRowCount, ringOuter, ringRowCount, type Strip, StripReader } from './strip.ts';
import { correlateSpectra, turnSpectrum } from './turn-spectrum.ts';
import type { GreyPicture, RefusalReason, RimEllipse } from './types.ts';

/** Share of the ring that must lie in the picture. */
const leastInPicture = 0.55;
/** Smallest rim radius at which 1-degree ticks are still apart, pixels (3 px a degree). */
const leastRadiusPx = 120;
export type SetupResult =
  | { readonly ok: true; readonly state: SetupState }
  | { readonly ok: false; readonly reason: RefusalReason };

/** Makes a set-up from the reference frame and an outline up to `reachPx` off the rim. */
export function makeSetup(
  ops: ImageOps | null,
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  reachPx: number,
): SetupResult {
  const inPicture = inPictureFraction(rim, picture);
  if (inPicture < leastInPicture) return { ok: false, reason: 'wheel_not_whole' };
  if (meanRadiusPx(rim) < leastRadiusPx) return { ok: false, reason: 'ticks_not_resolvable' };
  const found = tickedNear(ops, comb, picture, rim, reachPx);
  if (found.coherence < leastCoherence || axisRatio(found.rim) < 0.6)
    return { ok: false, reason: 'ticks_not_resolvable' };
  // The rows that are read end where the ticks end, whichever circle was marked or found.
  const outline = concentric(found, outerEndOfTicks(comb, picture, found) / ringOuter);
  const map = ringMap(outline.rim, outline.kx, outline.ky);
  const strips = new StripReader(map.toPicture);
  const ring = emptyStrip(ringRowCount);
  const face = emptyStrip(faceRowCount);
  strips.ring(picture, ring);
  strips.face(picture, face);
  const { line180, line360 } = found.lines;
  const tiltDeg = (Math.acos(Math.min(1, axisRatio(found.rim))) * 180) / Math.PI;
  return {
    ok: true,
    state: {
      kind: 'portsight-wheel-setup',
      widthPx: picture.widthPx,
      heightPx: picture.heightPx,
      rim: found.rim,
      tickStepDeg: line180 > 1.2 * line360 ? 2 : 1,
      modulusDeg: 360,
      calibrated: false,
      tiltDeg,
      inPictureFraction: inPicture,
      codedRing: codedRingOf(new CodedRingReader(map, tiltDeg), picture),
      map,
      coherence: found.coherence,
      repeatDeg: numeralSpacing(ring, face),
      polarityFree: false,
      referenceSignature: signatureOf(picture),
      referenceRing: ring,
      referenceFace: face,
      background: ops === null ? null : rememberBackground(ops, picture, found.rim),
      calibration: null,
      pointerPx: null,
      pointer: null,
    },
  };
}

/** Less than this the ticks of a well marked wheel seldom show; where another circle shows them better, it counts. */
const doubtfulCoherence = 0.6;
const clearlyBetter = 0.1;

function tickedNear(
  ops: ImageOps | null,
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  reachPx: number,
): TickedRim {
  const refined = refineRim(comb, picture, rim, reachPx);
  if (ops === null || refined.coherence >= doubtfulCoherence) return refined;
  const found = findWheelAbout(ops, comb, picture, rim);
  return found !== null && found.coherence > refined.coherence + clearlyBetter ? found : refined;
}

function codedRingOf(reader: CodedRingReader, picture: GreyPicture): KnownRing | null {
  const reading = reader.readFixed(picture);
  if (reading.state !== 'read') return null;
  const { grows, absoluteDeg, sigmaDeg } = reading;
  // The set-up's map is about the centre of the ticks: nothing is bent in it.
  return { grows, absoluteDeg, sigmaDeg, bendDeg: [0, 0] };
}

/** Spacing at which taking out what repeats leaves the ring least like itself turned. */
function numeralSpacing(ring: Strip, face: Strip): number {
  const correlation = new Float64Array(ringColumns);
  let best = 10;
  let least = Number.POSITIVE_INFINITY;
  for (const spacing of [10, 15, 20, 30]) {
    const spectrum = turnSpectrum(ring, face, spacing);
    correlateSpectra(spectrum, spectrum, correlation);
    let off = 0;
    for (let x = 20; x < ringColumns - 20; x++) off = Math.max(off, correlation[x] as number);
    const likeness = off / Math.max(1e-9, correlation[0] as number);
    // Half and quarter turns repeat for every spacing: a clear gain is needed to leave the usual 10.
    if (likeness < least - 0.05) {
      least = likeness;
      best = spacing;
    }
  }
  return best;
}

/** Number that two different pictures don't share in practice (32-bit FNV-1a over a sparse grid). */
export function signatureOf(picture: GreyPicture): number {
  let hash = 0x811c9dc5;
  for (let y = 3; y < picture.heightPx; y += 7)
    for (let x = 3; x < picture.widthPx; x += 11) {
      hash ^= picture.data[y * picture.stride + x] as number;
      hash = Math.imul(hash, 0x01000193);
    }
  return hash >>> 0;
}
