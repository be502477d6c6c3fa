import { medianOf } from './bundle.ts';
import { AbsoluteReader, codedVerdict } from './coded/absolute-reader.ts';
import { meanRadiusPx } from './ellipse.ts';
import { type FrameView, frameView } from './frame-view.ts';
import { matchPair, type PairMatch } from './pair-match.ts';
import { sectorCos, sectorCount, sectorSin } from './sectors.ts';
import type { SetupState } from './state.ts';
import { dropPolarity, emptyStrip, faceRowCount, ringRowCount, type Strip, StripReader } from './strip.ts';
import type { GreyPicture, ReadOptions, WheelReading } from './types.ts';
import { emptyDiagnostics, limits, medianContrast, whyNoMatch } from './verdict.ts';

/** Run-out that must be reckoned with before the turn has shown it, as a slope of the reading per tan(tilt), degrees. */
const unknownRunOutDeg = 0.35;
/**
 * One picture against one other: what stands still in both may speak for a wrong half of a scale that repeats, so
 * more is asked for than after the turn.
 */
const leastProvisionalZ = 12;

/** Reads frames against the reference frame alone. */
export class ProvisionalReader {
  private readonly state: SetupState;
  private readonly strips: StripReader;
  /** Match behind the last reading; null where there was none or marks had to be compared without polarity. */
  lastMatch: PairMatch | null = null;
  private readonly absolute: AbsoluteReader | null;
  private reference: FrameView | null = null;
  private plainReference: FrameView | null = null;

  constructor(state: SetupState) {
    this.state = state;
    this.strips = new StripReader(state.map.toPicture);
    this.absolute = state.codedRing === null ? null : new AbsoluteReader(state);
  }

  /** Ring and inner face through the set-up's fixed map, and the rotation by the coded ring where there is one. */
  unroll(picture: GreyPicture): Unrolled {
    return { ...this.bands(picture), codedDeg: this.absolute?.rotationDeg(picture) ?? null };
  }

  bands(picture: GreyPicture): Omit<Unrolled, 'codedDeg'> {
    const ring = emptyStrip(ringRowCount);
    const face = emptyStrip(faceRowCount);
    this.strips.ring(picture, ring);
    this.strips.face(picture, face);
    return { ring, face };
  }

  private referenceView(polarityFree: boolean): FrameView {
    const make = (): FrameView => {
      const ring: Strip = { ...this.state.referenceRing, values: Float32Array.from(this.state.referenceRing.values) };
      if (polarityFree) dropPolarity(ring);
      return frameView(ring, this.state.referenceFace, this.state.repeatDeg);
    };
    if (polarityFree) {
      this.plainReference ??= make();
      return this.plainReference;
    }
    this.reference ??= make();
    return this.reference;
  }

  /** Match against the reference, with ordinary marks or, where those fail, without polarity. */
  match(ring: Strip, face: Strip, candidates?: readonly number[]): { match: PairMatch | null; polarityFree: boolean } {
    const ordinary = matchPair(
      this.referenceView(false),
      frameView(ring, face, this.state.repeatDeg),
      this.state.tickStepDeg,
      candidates,
    );
    if (ordinary !== null && ordinary.medianNcc > limits.leastNcc) return { match: ordinary, polarityFree: false };
    const bare: Strip = { ...ring, values: Float32Array.from(ring.values) };
    dropPolarity(bare);
    const free = matchPair(
      this.referenceView(true),
      frameView(bare, face, this.state.repeatDeg),
      this.state.tickStepDeg,
      candidates,
    );
    if (free !== null && free.medianNcc > limits.leastNccPolarityFree && free.medianNcc > (ordinary?.medianNcc ?? 0))
      return { match: free, polarityFree: true };
    return { match: ordinary, polarityFree: false };
  }

  read(picture: GreyPicture, options: ReadOptions): WheelReading {
    return this.readStrips(this.unroll(picture), options);
  }

  /** The same for a picture that is unrolled already. */
  readStrips({ ring, face, codedDeg }: Unrolled, options: ReadOptions): WheelReading {
    const contrast = medianContrast(ring);
    this.lastMatch = null;
    const refused = (reason: WheelReading['reason'], trackedDeg: number | null, m: PairMatch | null): WheelReading => ({
      accepted: false,
      provisional: true,
      rotationDeg: null,
      sigmaDeg: null,
      modulusDeg: 360,
      trackedDeg,
      reason: reason ?? 'nothing_matches',
      diagnostics: m === null ? { ...emptyDiagnostics, contrast } : diagnosticsOf(m, contrast, this.state),
    });
    if (contrast < limits.leastContrast * 0.6)
      return refused(whyNoMatch(this.state.referenceRing, ring, 0, 0), null, null);
    const previous = options.previous ?? null;
    const near =
      previous === null
        ? codedDeg === null
          ? undefined
          : [codedDeg]
        : [(((previous.rotationDeg + previous.velocityDegPerS * previous.elapsedS) % 360) + 360) % 360];
    let { match, polarityFree } = this.match(ring, face, near);
    if (near !== undefined && (match === null || match.medianNcc < limits.leastNcc))
      ({ match, polarityFree } = this.match(ring, face));
    if (match === null) return refused(whyNoMatch(this.state.referenceRing, ring, 0, 0), null, null);
    const { shifts } = match;
    this.lastMatch = polarityFree ? null : match;
    const least = polarityFree ? limits.leastNccPolarityFree : limits.leastNcc;
    const tracked =
      match.validCount >= 8 && match.medianNcc > 0.35 && match.unique.otherZ > 2 ? match.rotationDeg : null;
    if (
      match.medianNcc < least ||
      match.validCount < limits.leastMatchedOfRing * sectorCount ||
      match.validCount < limits.leastMatchedOfView * shifts.inView
    )
      return refused(whyNoMatch(this.state.referenceRing, ring, match.validCount, shifts.inView), tracked, match);
    const said = codedVerdict(codedDeg, match.rotationDeg);
    if (said === 'contradicts') return refused('position_not_unique', null, match);
    const certain =
      said === 'agrees' ||
      (match.unique.otherZ > limits.leastZ &&
        Math.min(...match.unique.quarterZ) > leastProvisionalZ &&
        match.unique.q > limits.leastQ);
    if (!certain) return refused('position_not_unique', tracked, match);
    const tilt = Math.tan((this.state.tiltDeg * Math.PI) / 180);
    const scatter = scatterOf(match);
    const sigmaDeg = Math.hypot(
      unknownRunOutDeg * tilt * Math.abs(Math.sin((match.rotationDeg * Math.PI) / 360)),
      (2.5 * scatter) / Math.sqrt(match.validCount),
      0.004,
    );
    if (sigmaDeg > limits.mostProvisionalSigmaDeg) return refused('too_uncertain', tracked, match);
    return {
      accepted: true,
      provisional: true,
      rotationDeg: match.rotationDeg,
      sigmaDeg,
      modulusDeg: 360,
      reason: null,
      trackedDeg: match.rotationDeg,
      diagnostics: diagnosticsOf(match, contrast, this.state),
    };
  }
}

/** One picture through the set-up's fixed map. */
export interface Unrolled {
  readonly ring: Strip;
  readonly face: Strip;
  readonly codedDeg: number | null;
}

function scatterOf(m: PairMatch): number {
  const misses: number[] = [];
  for (let s = 0; s < sectorCount; s++)
    if (m.shifts.valid[s])
      misses.push(
        Math.abs(
          (m.shifts.shiftDeg[s] as number) -
            m.harmonic.a0Deg -
            m.harmonic.a1Deg * (sectorCos[s] as number) -
            m.harmonic.b1Deg * (sectorSin[s] as number),
        ),
      );
  return misses.length > 0 ? 1.4826 * medianOf(misses) : 1;
}

function diagnosticsOf(m: PairMatch, contrast: number, state: SetupState): WheelReading['diagnostics'] {
  return {
    coveredFraction: m.validCount / sectorCount,
    inViewFraction: m.shifts.inView / sectorCount,
    medianNcc: m.medianNcc,
    contrast,
    residualDeg: scatterOf(m),
    blurDeg: m.blurDeg,
    uniquenessZ: m.unique.z,
    ringShiftPx: ((Math.hypot(m.harmonic.a1Deg, m.harmonic.b1Deg) * Math.PI) / 180) * meanRadiusPx(state.rim),
  };
}
