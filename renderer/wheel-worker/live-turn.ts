import type {
  RefusalReason,
  Turn,
  TurnFindings,
  TurnProgress,
  WheelReader,
  WheelReading,
  WheelSetup,
} from '../../core/wheel/types.ts';
import type { KeptFrame } from './kept-frames.ts';
import type { TurnInfo } from './messages.ts';
import type { FittedTurn, TurnFitter } from './turn-fitter.ts';

/** The model is fitted first when this much of the turn is covered, and again each time this much more is. */
const firstFitDeg = 120;
const refitDeg = 60;
/** A turn that became complete or whole is fitted once more for this much. */
const lastGainDeg = 5;
/** From here on the turn counts as complete: vision study, section "What the operator does". */
const completeTurnDeg = 180;
const wholeTurnDeg = 350;
const newsMs = 200;
const widenStepDeg = 8;

/** What a fit in the other worker came to. */
export type TurnNews =
  | {
      readonly ok: true;
      readonly setup: WheelSetup;
      readonly findings: TurnFindings;
      readonly bytes: Uint8Array;
      readonly isComplete: boolean;
    }
  | { readonly ok: false; readonly reason: RefusalReason };

/**
 * The turn of one set-up, as the frames come: it is offered what it needs and sent to be fitted when enough is new.
 * Frames are read on while the fit is worked out elsewhere.
 */
export class LiveTurn {
  readonly #reader: WheelReader;
  readonly #fitter: TurnFitter;
  readonly #turn: Turn;
  #arcDeg = 0;
  #fittedAtArcDeg = 0;
  #fitInWork: Promise<void> | null = null;
  #isWhole = false;
  /** What makes the turn complete, then whole, isn't kept waiting for a full step. */
  #goalDeg = completeTurnDeg;
  /** Places that a frame was taken from since the first fit, in steps of `widenStepDeg`. */
  readonly #widenedAt = new Set<number>();
  #toldAtMs = -Infinity;

  constructor(reader: WheelReader, fitter: TurnFitter, setup: WheelSetup) {
    this.#reader = reader;
    this.#fitter = fitter;
    this.#turn = reader.startTurn(setup);
  }

  /** Fitted from a whole turn: nothing more is to be had from it. */
  get isWhole(): boolean {
    return this.#isWhole;
  }

  /** Every frame before the first fit: its reading is provisional. */
  offer(kept: KeptFrame, elapsedS: number, tell: (info: TurnInfo) => void): WheelReading {
    return this.#took(
      this.#reader.addTurnFrame(this.#turn, kept.grey, elapsedS > 0 ? elapsedS : null),
      kept.timeMs,
      tell,
    );
  }

  /**
   * After the first fit a frame still widens the turn, once the crank has come to a place that it hasn't been at since:
   * a session goes to and fro over the same arc.
   */
  widen(kept: KeptFrame, reading: WheelReading, tell: (info: TurnInfo) => void): void {
    if (!reading.accepted) return;
    const place = Math.floor(reading.rotationDeg / widenStepDeg);
    if (this.#widenedAt.has(place)) return;
    this.#widenedAt.add(place);
    this.#took(this.#reader.widenTurn(this.#turn, kept.grey, reading), kept.timeMs, tell);
  }

  #took(progress: TurnProgress, timeMs: number, tell: (info: TurnInfo) => void): WheelReading {
    this.#arcDeg = Math.max(this.#arcDeg, progress.arcCoveredDeg);
    if (timeMs - this.#toldAtMs >= newsMs || timeMs < this.#toldAtMs) {
      this.#toldAtMs = timeMs;
      const { arcCoveredDeg, sectorsCovered, framesUsed, expectedSigmaDeg, sentence } = progress;
      tell({ arcCoveredDeg, sectorsCovered, framesUsed, expectedSigmaDeg, sentence });
    }
    return progress.reading;
  }

  /**
   * Sends the turn off to be fitted where that is due. One fit runs at a time.
   * @param done is called when it has come back, at any time
   */
  fitWhenDue(done: (news: TurnNews) => void): void {
    if (this.#fitInWork !== null || !this.#isDue()) return;
    const arcDeg = this.#arcDeg;
    this.#fittedAtArcDeg = arcDeg;
    this.#fitInWork = this.#fitter.fit(this.#reader.recordOfTurn(this.#turn)).then((fitted) => {
      this.#fitInWork = null;
      done(this.#newsOf(fitted, arcDeg));
    });
  }

  #isDue(): boolean {
    if (this.#fittedAtArcDeg === 0) return this.#arcDeg >= firstFitDeg;
    const gainedDeg = this.#arcDeg - this.#fittedAtArcDeg;
    return gainedDeg >= refitDeg || (this.#arcDeg >= this.#goalDeg && gainedDeg > lastGainDeg);
  }

  #newsOf({ outcome, bytes }: FittedTurn, arcDeg: number): TurnNews {
    if (!outcome.ok) return outcome;
    if (arcDeg >= wholeTurnDeg) this.#isWhole = true;
    const isComplete = outcome.findings.arcCoveredDeg >= completeTurnDeg;
    if (isComplete) this.#goalDeg = wholeTurnDeg;
    return { ok: true, setup: outcome.setup, findings: outcome.findings, bytes, isComplete };
  }
}
