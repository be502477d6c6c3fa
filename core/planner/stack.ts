import { notNegative, positive, present, presentOr, refuse } from '../checks.ts';
import { type CrankGeometry, crankFrom } from '../crank/geometry.ts';
import { crownDepthFor, crownEventsAt, depthInTravel, skirtEventsAt } from '../ports/edge-height.ts';
import { blowdown } from '../ports/events.ts';
import { borderSlack, type Deg, type Mm } from '../units.ts';

/** What may be changed in the stack of gaskets and faces; everything 0 where absent. */
export interface StackChange {
  /** Thicker positive. */
  readonly baseGasketChangeMm?: Mm | undefined;
  /** Metal taken off the foot of the barrel, 0 or more. */
  readonly baseCutMm?: Mm | undefined;
  /** Metal taken off the head's face with the squish band moved along, 0 or more. */
  readonly headCutMm?: Mm | undefined;
  /** Metal taken off the top of the barrel, 0 or more. */
  readonly deckCutMm?: Mm | undefined;
  /** Thicker positive. */
  readonly headGasketChangeMm?: Mm | undefined;
}

/** A stack change with every entry filled in and checked. */
export interface CheckedStackChange {
  /** Barrel raised over the crank by this much. */
  readonly cylinderRaiseMm: Mm;
  readonly headGasketChangeMm: Mm;
  /** Off head and deck together. */
  readonly topCutMm: Mm;
}

function cut(field: string, value: Mm | undefined): Mm {
  return notNegative(field, presentOr(field, value, 0));
}

/** @throws missing, negative where a cut has a sign */
export function checkedStackChange(change: StackChange): CheckedStackChange {
  return {
    cylinderRaiseMm: presentOr('baseGasketChangeMm', change.baseGasketChangeMm, 0) - cut('baseCutMm', change.baseCutMm),
    headGasketChangeMm: presentOr('headGasketChangeMm', change.headGasketChangeMm, 0),
    topCutMm: cut('headCutMm', change.headCutMm) + cut('deckCutMm', change.deckCutMm),
  };
}

/** Squish after a change of the gap; @throws collision where nothing is left */
export function squishAfter(squishMm: Mm, gapChangeMm: Mm): Mm {
  const squish = squishMm + gapChangeMm;
  if (squish <= borderSlack) {
    const allowed = 'greater than 0 mm after the change';
    refuse('collision', 'squishMm', squish, allowed, 'the piston would touch the head; take off less or add a gasket.');
  }
  return squish;
}

export interface StackEffectInput extends StackChange {
  readonly geometry: CrankGeometry;
  /** Roof of the exhaust below the crown's TDC position, before the change. */
  readonly exhaustDepthMm: Mm;
  /** Roof of the earliest transfer, before the change. */
  readonly transferDepthMm: Mm;
  readonly squishMm: Mm;
  /** Floor of a skirt-controlled intake below the skirt's TDC position, before the change. */
  readonly skirtIntakeDepthMm?: Mm | undefined;
}

export interface StackEffect {
  readonly cylinderRaiseMm: Mm;
  readonly squishMm: Mm;
  readonly exhaustDurationDeg: Deg;
  readonly transferDurationDeg: Deg;
  readonly blowdownDeg: Deg;
  readonly intakeDurationDeg?: Deg;
}

/**
 * What a change of gaskets and faces does to durations, blowdown and squish.
 * @throws missing, non_positive, negative, rod_too_short, collision, out_of_range where a port would never open or never
 *   shut, inconsistent where the transfer would not open after the exhaust
 * @source raising the barrel by d takes d off every port depth, skirt intake included, and adds it to the squish
 */
export function stackEffect(input: StackEffectInput): StackEffect {
  const crank = crankFrom(input.geometry);
  const squish = positive('squishMm', input.squishMm);
  const change = checkedStackChange(input);
  const raise = change.cylinderRaiseMm;
  const after = (field: string, depth: unknown): Mm => depthInTravel(crank, field, present(field, depth) - raise);
  const squishMm = squishAfter(squish, raise + change.headGasketChangeMm - change.topCutMm);
  const exhaust = crownEventsAt(crank, after('exhaustDepthMm', input.exhaustDepthMm));
  const transfer = crownEventsAt(crank, after('transferDepthMm', input.transferDepthMm));
  const effect = {
    cylinderRaiseMm: raise,
    squishMm,
    exhaustDurationDeg: exhaust.durationDeg,
    transferDurationDeg: transfer.durationDeg,
    blowdownDeg: blowdown(exhaust.openAtdcDeg, transfer.openAtdcDeg).blowdownDeg,
  };
  if (input.skirtIntakeDepthMm === undefined) return effect;
  const intake = skirtEventsAt(crank, after('skirtIntakeDepthMm', input.skirtIntakeDepthMm));
  return { ...effect, intakeDurationDeg: intake.durationDeg };
}

export interface TargetDurationChange {
  /** Raise the barrel by this, or that one roof with a grinder; negative: lower the barrel, a grinder can't. */
  readonly cylinderRaiseMm: Mm;
  readonly squishAfterMm: Mm;
  /** Off head or deck to get the old squish back; negative: add gasket. */
  readonly headOrDeckCutMm: Mm;
}

/**
 * How far the barrel must be raised for a wanted duration, and what that does to the squish. Raising moves every port:
 * look at all of them after the change.
 * @param input durations between 0 and 360, both excluded
 * @throws missing, non_positive, rod_too_short, out_of_range, collision
 * @source x(D now) - x(D target)
 */
export function changeForDuration(input: {
  geometry: CrankGeometry;
  currentDurationDeg: Deg;
  targetDurationDeg: Deg;
  squishMm: Mm;
}): TargetDurationChange {
  const crank = crankFrom(input.geometry);
  const now = crownDepthFor(crank, 'currentDurationDeg', input.currentDurationDeg);
  const target = crownDepthFor(crank, 'targetDurationDeg', input.targetDurationDeg);
  const squish = positive('squishMm', input.squishMm);
  const cylinderRaiseMm = now - target;
  return {
    cylinderRaiseMm,
    squishAfterMm: squishAfter(squish, cylinderRaiseMm),
    headOrDeckCutMm: cylinderRaiseMm,
  };
}
