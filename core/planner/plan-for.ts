import { positive, present, refuse } from '../checks.ts';
import { crankFrom } from '../crank/geometry.ts';
import { crownDepthFor } from '../ports/edge-height.ts';
import { portKindTable } from '../ports/kinds.ts';
import { borderSlack, type Cc, type Deg, type Mm } from '../units.ts';
import { discVolume } from '../volumes/burette.ts';
import { clearanceForRatio } from '../volumes/ratio.ts';
import { goingTogether, type MockUpChange, shiftedSizes } from './effects.ts';
import { type MockUpSizes, mockUpFigures } from './mock-up-figures.ts';

/**
 * What the builder wants; each may be absent. The height of the barrel can meet one figure only: a duration, the deck or
 * the volume, whichever governs.
 */
export interface PlanTargets {
  /** Crown edge below the top of the barrel; negative where it is to stand proud. */
  readonly deckMm?: Mm | undefined;
  /** Whole volume over the piston at TDC, met by the base gasket alone; not together with squish or ratio. */
  readonly clearanceVolumeCc?: Cc | undefined;
  /** Duration of one crown-controlled port. */
  readonly port?: { readonly portId: string; readonly durationDeg: Deg } | undefined;
  readonly squishMm?: Mm | undefined;
  /** Full-stroke or trapped; say which. */
  readonly ratio?: { readonly kind: 'full_stroke' | 'trapped'; readonly value: number } | undefined;
}

/** One step of a plan. */
export interface PlanStep {
  readonly step:
    | 'raise_barrel'
    | 'lower_barrel'
    | 'grind_roof'
    | 'cut_head_or_deck'
    | 'add_head_gasket'
    | 'cut_bowl'
    | 'fill_bowl';
  /** In mm, or cm^3 for the bowl; always positive. */
  readonly amount: number;
  readonly change: MockUpChange;
  /** What to mind at this step; null where there is nothing beyond the usual. */
  readonly caution: string | null;
}

export interface Plan {
  readonly steps: readonly PlanStep[];
  /** Once all steps are done. In between the parts need not go together: nothing is assembled there. */
  readonly sizesAfter: MockUpSizes;
}

/** Raises or lowers the barrel. */
function heightStep(raiseMm: Mm): PlanStep | null {
  if (Math.abs(raiseMm) <= borderSlack) return null;
  return {
    step: raiseMm > 0 ? 'raise_barrel' : 'lower_barrel',
    amount: Math.abs(raiseMm),
    change: raiseMm > 0 ? { baseGasketChangeMm: raiseMm } : { baseCutMm: -raiseMm },
    caution: 'Moves every port, the squish and the volume: look at all of them.',
  };
}

/** How far the roof of a port must go up for a duration. */
function roofRise(sizes: MockUpSizes, target: NonNullable<PlanTargets['port']>): Mm {
  const port = sizes.ports.find(({ portId }) => portId === target.portId);
  if (port === undefined || portKindTable[port.kind].control !== 'crown') {
    refuse(
      'not_applicable',
      'portId',
      target.portId,
      'a port that the crown opens',
      'choose an exhaust or a transfer.',
    );
  }
  const wanted = crownDepthFor(crankFrom(sizes.geometry), 'durationDeg', target.durationDeg);
  return present(`${port.portId} edgeDepthMm`, port.edgeDepthMm) - wanted;
}

function grindStep(sizes: MockUpSizes, target: NonNullable<PlanTargets['port']>): PlanStep | null {
  const rise = roofRise(sizes, target);
  if (Math.abs(rise) <= borderSlack) return null;
  if (rise < 0) {
    const mend = 'a grinder can only raise a roof; lower the barrel instead.';
    refuse('not_applicable', 'durationDeg', target.durationDeg, 'longer than it is now', mend);
  }
  return { step: 'grind_roof', amount: rise, change: { edgeGroundMm: { [target.portId]: rise } }, caution: null };
}

/** What the barrel's height is to meet, as the rise that meets it; 0 where it is left alone. */
function barrelRise(sizes: MockUpSizes, targets: PlanTargets, byGrinding: boolean): Mm {
  const { deckMm, clearanceVolumeCc, port } = targets;
  const meets = [deckMm, clearanceVolumeCc, byGrinding ? undefined : port].filter((target) => target !== undefined);
  if (meets.length > 1) {
    const allowed = 'one of deck, volume and duration';
    refuse('inconsistent', 'targets', meets.length, allowed, "the barrel's height can meet only one of them.");
  }
  if (deckMm !== undefined) return present('targetDeckMm', deckMm) - present('deckMm', sizes.deckMm);
  if (clearanceVolumeCc !== undefined) {
    if (targets.squishMm !== undefined || targets.ratio !== undefined) {
      const mend = 'head and bowl work would change the volume again; ask for one of them.';
      refuse('inconsistent', 'clearanceVolumeCc', clearanceVolumeCc, 'without a squish or a ratio', mend);
    }
    const now = positive('clearanceVolumeCc', sizes.clearanceVolumeCc);
    return (positive('targetClearanceVolumeCc', clearanceVolumeCc) - now) / discVolume(sizes.boreMm, 1);
  }
  return port === undefined || byGrinding ? 0 : roofRise(sizes, port);
}

function squishStep(sizes: MockUpSizes, targetMm: Mm): PlanStep | null {
  const surplus = present('squishMm', sizes.squishMm) - positive('targetSquishMm', targetMm);
  if (Math.abs(surplus) <= borderSlack) return null;
  return surplus > 0
    ? { step: 'cut_head_or_deck', amount: surplus, change: { headCutMm: surplus }, caution: null }
    : { step: 'add_head_gasket', amount: -surplus, change: { headGasketChangeMm: -surplus }, caution: null };
}

function ratioStep(sizes: MockUpSizes, target: NonNullable<PlanTargets['ratio']>): PlanStep | null {
  const { trappedRatio, sweptVolumeCc, clearanceVolumeCc } = mockUpFigures(sizes);
  const clearance = positive('clearanceVolumeCc', clearanceVolumeCc);
  if (target.kind === 'trapped' && trappedRatio === null) {
    refuse('missing', 'exhaust', null, 'an exhaust port with its height', 'the trapped ratio starts at its closing.');
  }
  const compressed = target.kind === 'trapped' ? ((trappedRatio as number) - 1) * clearance : sweptVolumeCc;
  const missing = clearanceForRatio(compressed, target.value) - clearance;
  if (Math.abs(missing) <= borderSlack) return null;
  return missing > 0
    ? { step: 'cut_bowl', amount: missing, change: { bowlCutCc: missing }, caution: null }
    : {
        step: 'fill_bowl',
        amount: -missing,
        change: {},
        caution: 'The bowl is too large already: it takes another head or insert, not a cut.',
      };
}

/**
 * Steps to the wanted figures in the order in which nothing is done twice: barrel height first, for it moves everything
 * above it; then a roof by grinding; then the squish by head, deck or gasket; the ratio by the bowl last.
 * @param byGrinding true to raise the one roof with a grinder instead of the barrel
 * @throws missing, non_positive, out_of_range, not_applicable, inconsistent where targets contradict each other,
 *   collision where the parts would touch at the end
 */
export function planFor(sizes: MockUpSizes, targets: PlanTargets, byGrinding = false): Plan {
  const height = heightStep(barrelRise(sizes, targets, byGrinding));
  const atHeight = shiftedSizes(sizes, height?.change ?? {});
  const ground = targets.port === undefined || !byGrinding ? null : grindStep(atHeight, targets.port);
  const withPorts = shiftedSizes(atHeight, ground?.change ?? {});
  const second = targets.squishMm === undefined ? null : squishStep(withPorts, targets.squishMm);
  const withSquish = goingTogether(shiftedSizes(withPorts, second?.change ?? {}));
  const third = targets.ratio === undefined ? null : ratioStep(withSquish, targets.ratio);
  const filled = third?.step === 'fill_bowl' ? third.amount : 0;
  const { clearanceVolumeCc } = withSquish;
  const atEnd = shiftedSizes(
    clearanceVolumeCc === undefined ? withSquish : { ...withSquish, clearanceVolumeCc: clearanceVolumeCc - filled },
    third?.change ?? {},
  );
  return { steps: [height, ground, second, third].filter((step) => step !== null), sizesAfter: atEnd };
}
