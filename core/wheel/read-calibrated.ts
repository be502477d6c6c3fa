import { AbsoluteReader, codedVerdict } from './coded/absolute-reader.ts';
import { FaceModel } from './face-model.ts';
import { modelSigmaDeg } from './model-sigma.ts';
import { againstRivals, byOddMarks, faceWeight, proofRows, rivalNccGap } from './pair-proof.ts';
import { ringColumns } from './ring-map.ts';
import { sectorCount } from './sectors.ts';
import { type Settled, Settler } from './settle.ts';
import { signatureOf } from './setup.ts';
import type { CalibrationState, SetupState } from './state.ts';
import { Straightener } from './straightener.ts';
import { dropPolarity, emptyStrip, faceRowCount, ringRowCount, type Strip, StripReader } from './strip.ts';
import { correlateSpectra, turnPeaks, turnSpectrum, wrap180 } from './turn-spectrum.ts';
import type { GreyPicture, ReadOptions, RefusalReason, WheelReading } from './types.ts';
import type { Uniqueness } from './uniqueness.ts';
import { noProof } from './uniqueness.ts';
import { emptyDiagnostics, limits, medianContrast, whyNoMatch } from './verdict.ts';

/** Rivals nearer than this belong to the same position, degrees. */
const samePeakDeg = 0.6;

/** Live frames between two proofs of uniqueness; continuity carries the position in between. */
const framesBetweenProofs = 8;
/** A crank pulled by hand gains some 2000 degrees/s in a second: within this time its prediction is out by 5 at most. */
const longestStepS = 0.05;
const farthestFromExpectedDeg = 2.5;
/** The neighbouring numeral costs about 0.2 of likeness. */
const mostNccLoss = 0.1;

/** On the wrong ticks the numerals don't match: with less of the ring matched than this the position is proven anew. */
const carriedShare = 0.95;

/** Reads frames of a set-up whose rigid model is known. Keeps its buffers. */
export class CalibratedReader {
  private readonly state: SetupState;
  private readonly calibration: CalibrationState;
  private readonly straightener: Straightener;
  private readonly settler: Settler;
  private readonly strips: StripReader;
  private readonly everyone: FaceModel;
  private readonly without = new Map<number, FaceModel>();
  private readonly face = emptyStrip(faceRowCount);
  private readonly fixedRing = emptyStrip(ringRowCount);
  private readonly fixedFace = emptyStrip(faceRowCount);
  private readonly proofFrame = new Float32Array(proofRows * ringColumns);
  private readonly proofMask = new Uint8Array(ringColumns);
  private readonly correlation = new Float64Array(ringColumns);
  /** Null on a wheel without a coded ring. */
  private readonly absolute: AbsoluteReader | null;
  private readonly keyframeSigma: number;
  /** Live frames read since uniqueness was proven last. */
  private framesSinceProof = framesBetweenProofs;
  /** Likeness of the frame that was proven last. */
  private provenNcc = 1;
  private lastBlurDeg = 0;

  constructor(state: SetupState, calibration: CalibrationState) {
    this.state = state;
    this.calibration = calibration;
    this.straightener = new Straightener(calibration.model, state.map);
    this.settler = new Settler(state, this.straightener);
    this.strips = new StripReader(state.map.toPicture);
    this.absolute = state.codedRing === null ? null : new AbsoluteReader(state);
    this.everyone = new FaceModel(calibration.keyframes, state.repeatDeg);
    let sum = 0;
    for (const k of calibration.keyframes) sum += k.sigmaDeg ** 2;
    this.keyframeSigma = Math.sqrt(sum / calibration.keyframes.length);
  }

  read(picture: GreyPicture, options: ReadOptions): WheelReading {
    const full = options.effort !== 'track';
    const previous = options.previous ?? null;
    const face = full ? this.faceFor(picture) : this.everyone;
    let lost: Settled | null = null;
    if (previous !== null) {
      const stepDeg = previous.velocityDegPerS * previous.elapsedS;
      const expected = previous.rotationDeg + stepDeg;
      const half = Math.min(4.5, 0.6 + 0.5 * Math.abs(stepDeg));
      const settled = this.settler.settle(picture, face, expected, half, full ? null : this.lastBlurDeg);
      if (settled !== null && this.looksRight(settled)) {
        const carried =
          !full && this.framesSinceProof < framesBetweenProofs && this.goesOn(previous.elapsedS, expected, settled);
        const reading = this.judge(picture, face, settled, carried ? carriedOn : null);
        if (reading.reason !== 'position_not_unique') {
          this.framesSinceProof = carried ? this.framesSinceProof + 1 : reading.accepted ? 0 : framesBetweenProofs;
          if (!carried) this.provenNcc = settled.angle.medianNcc;
          this.lastBlurDeg = settled.blurDeg;
          return reading;
        }
      }
      lost = settled;
    }
    this.lastBlurDeg = 0;
    this.framesSinceProof = framesBetweenProofs;
    if (options.search === false) return this.refuse(picture, face, lost, null, null);
    const reading = this.acquire(picture, face, previous?.rotationDeg ?? null);
    if (reading.accepted) {
      this.framesSinceProof = 0;
      this.provenNcc = reading.diagnostics.medianNcc;
    }
    return reading;
  }

  /**
   * Whether a frame continues the one before so closely that no other numeral can be meant. A prediction that is off by
   * most of a numeral step locks on to the neighbour, which looks nearly as good: then only the proof tells.
   */
  private goesOn(elapsedS: number, expectedDeg: number, settled: Settled): boolean {
    return (
      elapsedS <= longestStepS &&
      Math.abs(wrap180(settled.rotationDeg - expectedDeg)) <= farthestFromExpectedDeg &&
      settled.angle.medianNcc >= this.provenNcc - mostNccLoss &&
      settled.matched >= carriedShare * settled.angle.inView
    );
  }

  /** The face without the picture's own part in it. */
  private faceFor(picture: GreyPicture): FaceModel {
    const signature = signatureOf(picture);
    const { keyframes } = this.calibration;
    if (!keyframes.some((k) => k.signature === signature)) return this.everyone;
    let kept = this.without.get(signature);
    if (kept === undefined) {
      kept = new FaceModel(
        keyframes.filter((k) => k.signature !== signature),
        this.state.repeatDeg,
      );
      if (this.without.size > 3) this.without.clear();
      this.without.set(signature, kept);
    }
    return kept;
  }

  private leastNcc(): number {
    return this.state.polarityFree ? limits.leastNccPolarityFree : limits.leastNcc;
  }

  private looksRight(s: Settled): boolean {
    return s.angle.medianNcc > this.leastNcc() && s.matched >= limits.leastMatchedOfRing * sectorCount;
  }

  /** Searches the whole turn. */
  private acquire(picture: GreyPicture, face: FaceModel, previousDeg: number | null): WheelReading {
    this.strips.ring(picture, this.fixedRing);
    if (medianContrast(this.fixedRing) < limits.leastContrast * 0.6)
      return this.refuse(picture, face, null, null, null);
    if (this.state.polarityFree) dropPolarity(this.fixedRing);
    this.strips.face(picture, this.fixedFace);
    for (let i = 0; i < this.fixedFace.values.length; i++)
      this.fixedFace.values[i] = (this.fixedFace.values[i] as number) - (face.still[i] as number);
    correlateSpectra(
      face.spectrum,
      turnSpectrum(this.fixedRing, this.fixedFace, this.state.repeatDeg),
      this.correlation,
    );
    const queue = turnPeaks(this.correlation, 5).map((p) => p.rotationDeg);
    const coded = this.absolute?.rotationDeg(picture) ?? null;
    if (coded !== null) queue.unshift(coded);
    if (previousDeg !== null) queue.push(previousDeg);
    let best: Settled | null = null;
    let bestProof: Uniqueness | null = null;
    const tried: number[] = [];
    const all: { settled: Settled; proof: Uniqueness }[] = [];
    while (queue.length > 0 && tried.length < 8) {
      const candidate = queue.shift() as number;
      if (tried.some((t) => Math.abs(wrap180(t - candidate)) < 1.5)) continue;
      tried.push(candidate);
      const settled = this.settler.settle(picture, face, candidate, 4.5);
      if (settled === null) continue;
      const proof = this.prove(picture, face, settled);
      if (proof.z < 0) queue.unshift((((settled.rotationDeg + proof.rivalDeg) % 360) + 360) % 360);
      if (best === null || quality(settled, proof) > quality(best, bestProof as Uniqueness)) {
        best = settled;
        bestProof = proof;
      }
      all.push({ settled, proof });
      if (proof.z > 8 && settled.angle.medianNcc > 0.75 && settled.matched > 20) break;
    }
    if (best === null) return this.refuse(picture, face, null, null, null);
    const chosen = best;
    const rivals = all
      .filter(
        ({ settled: r }) =>
          r.angle.medianNcc > chosen.angle.medianNcc - rivalNccGap && r.matched > 0.6 * chosen.matched,
      )
      .map(({ settled: r, proof }): [number, number] => [r.rotationDeg, proof.likeness]);
    return this.judge(picture, face, best, againstRivals(best.rotationDeg, bestProof as Uniqueness, rivals));
  }

  private prove(picture: GreyPicture, face: FaceModel, s: Settled): Uniqueness {
    const n = ringColumns;
    // No shift here: it is free to bend a wrong position's eccentric ticks on to the face as known, which the face turned
    // to the right position is not.
    this.settler.gather(picture, s.rotationDeg, 0, 0);
    this.straightener.face(picture, s.rotationDeg, 0, 0, this.face);
    face.removeStill(this.face.values, s.rotationDeg);
    this.proofFrame.set(this.settler.ring.values);
    const o = ringRowCount * n;
    for (let i = 0; i < faceRowCount * n; i++) this.proofFrame[o + i] = faceWeight * (this.face.values[i] as number);
    for (let x = 0; x < n; x++) {
      const sector = Math.round((x * sectorCount) / n) % sectorCount;
      this.proofMask[x] =
        s.valid[sector] && face.ring.valid[x] && this.settler.ring.valid[x] && this.face.valid[x] ? 1 : 0;
    }
    const proof = face.prover.prove(this.proofFrame, this.proofMask, samePeakDeg);
    const { toldApartBy } = this.calibration;
    return toldApartBy === null ? proof : byOddMarks(proof, toldApartBy, face.known, this.proofFrame, this.proofMask);
  }

  private judge(picture: GreyPicture, face: FaceModel, s: Settled, known: Uniqueness | null = null): WheelReading {
    let proof = known;
    if (proof === null) {
      proof = this.prove(picture, face, s);
      // The ring in the buffer belongs to the proof now.
      this.settler.gather(picture, s.rotationDeg, s.shiftX, s.shiftY);
    }
    const { angle } = s;
    const share = angle.inView > 0 ? s.matched / angle.inView : 0;
    if (
      share < (this.state.polarityFree ? limits.leastMatchedOfViewPolarityFree : limits.leastMatchedOfView) ||
      s.matched < limits.leastMatchedOfRing * sectorCount ||
      angle.medianNcc < this.leastNcc()
    )
      return this.refuse(picture, face, s, proof, null);
    if (medianContrast(this.settler.ring) < limits.leastContrast)
      return this.refuse(picture, face, s, proof, 'too_dark');
    let modulusDeg: 360 | 180 | 90 = 360;
    const coded = proof === carriedOn ? null : (this.absolute?.rotationDeg(picture) ?? null);
    const said = codedVerdict(coded, s.rotationDeg);
    if (said === 'contradicts') return this.refuse(picture, face, s, proof, 'position_not_unique');
    if (said !== 'agrees') {
      // Where the whole face repeats, nothing that one picture seems to say tells its repeats apart.
      modulusDeg = this.state.modulusDeg;
      if (proof !== carriedOn && !this.isProven(proof, modulusDeg))
        return this.refuse(picture, face, s, proof, 'position_not_unique');
    }
    const shiftPx = Math.hypot(s.shiftX, s.shiftY);
    if (shiftPx > limits.mostShiftPx) return this.refuse(picture, face, s, proof, 'wheel_moved');
    if (Math.abs(angle.swell) > limits.mostSwell) return this.refuse(picture, face, s, proof, 'camera_moved');
    if (angle.scatterDeg > limits.mostScatterDeg) return this.refuse(picture, face, s, proof, 'wheel_moved');
    const sigmaDeg = this.sigma(s);
    if (!(sigmaDeg < limits.mostSigmaDeg)) return this.refuse(picture, face, s, proof, 'too_uncertain');
    const rotationDeg = s.rotationDeg - modulusDeg * Math.floor(s.rotationDeg / modulusDeg);
    return {
      accepted: true,
      provisional: false,
      rotationDeg,
      sigmaDeg,
      modulusDeg,
      reason: null,
      trackedDeg: s.rotationDeg,
      diagnostics: this.diagnostics(s, proof),
    };
  }

  /** Whether a proof holds against all that isn't a repeat of the face. */
  private isProven({ z, q, otherZ, quarterZ }: Uniqueness, modulusDeg: 360 | 180 | 90): boolean {
    const odd = this.calibration.toldApartBy?.quarters ?? [];
    const holds = quarterZ.every(
      (own, i) => (90 * (i + 1)) % modulusDeg === 0 || own >= (odd.includes(i + 1) ? limits.leastOddZ : limits.leastZ),
    );
    if (!holds || otherZ < limits.leastZ) return false;
    return modulusDeg !== 360 || odd.length > 0 || (z >= limits.leastZ && q >= limits.leastQ);
  }

  /**
   * The sectors overlap and their errors are alike: hence the factors, which were set so that errors against known truth
   * lie within one sigma some 85 times in 100.
   */
  private sigma(s: Settled): number {
    const fit = s.angle.scatterDeg / Math.sqrt(Math.max(1, s.angle.sectors));
    const model = modelSigmaDeg(this.calibration, this.state.map, s.rotationDeg);
    const short = this.calibration.findings.arcCoveredDeg < 120 ? 2 : 1;
    // A frame of the turn may hang on another repeat of the scale than it shows: what the fit leaves tells.
    const repeats = this.state.modulusDeg === 360 ? 0 : 0.5 * this.calibration.findings.residualDeg;
    return Math.hypot(1.65 * fit, 1.3 * short * model, 1.05 * this.keyframeSigma, 0.006 * s.blurDeg, repeats, 0.0016);
  }

  private diagnostics(s: Settled, proof: Uniqueness | null): WheelReading['diagnostics'] {
    return {
      coveredFraction: s.matched / sectorCount,
      inViewFraction: s.angle.inView / sectorCount,
      medianNcc: s.angle.medianNcc,
      contrast: medianContrast(this.settler.ring),
      residualDeg: s.angle.scatterDeg,
      blurDeg: s.blurDeg,
      uniquenessZ: proof === null ? 0 : proof.z,
      ringShiftPx: Math.hypot(s.shiftX, s.shiftY),
    };
  }

  private refuse(
    picture: GreyPicture,
    face: FaceModel,
    s: Settled | null,
    proof: Uniqueness | null,
    reason: RefusalReason | null,
  ): WheelReading {
    let why = reason;
    if (why === null) {
      const seen: Strip = this.fixedRing;
      this.strips.ring(picture, seen);
      why = whyNoMatch(face.ring, seen, s?.matched ?? 0, s?.angle.inView ?? 0);
    }
    const tracked =
      s !== null && s.matched >= 8 && s.angle.medianNcc > 0.35 && proof !== null && (proof.z > 2 || proof === carriedOn)
        ? s.rotationDeg
        : null;
    return {
      accepted: false,
      provisional: false,
      rotationDeg: null,
      sigmaDeg: null,
      modulusDeg: this.state.modulusDeg,
      reason: why,
      trackedDeg: tracked,
      diagnostics:
        s === null ? { ...emptyDiagnostics, contrast: medianContrast(this.fixedRing) } : this.diagnostics(s, proof),
    };
  }
}

/** Stands for the proof where continuity from a proven frame carries the position. */
const carriedOn: Uniqueness = { ...noProof, z: 0 };

function quality(s: Settled, proof: Uniqueness): number {
  return (
    s.angle.medianNcc * Math.min(1, s.matched / 18) +
    proof.likeness +
    (proof.z < 0 ? -0.3 : 0) +
    0.02 * Math.min(10, proof.z)
  );
}
