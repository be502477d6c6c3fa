import { positive, present, refuse } from '../checks.ts';
import { crankFrom } from '../crank/geometry.ts';
import { crownDepthFor } from '../ports/edge-height.ts';
import { portKindTable } from '../ports/kinds.ts';
import { borderSlack, type Deg, type Mm } from '../units.ts';
import { clearanceForRatio } from '../volumes/ratio.ts';
import { goingTogether, type MockUpChange, shiftedSizes } from './effects.ts';
import { type MockUpSizes, mockUpFigures } from './mock-up-figures.ts';

/** What the builder wants; each may be absent. */
export interface PlanTargets {
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

function portStep(sizes: MockUpSizes, target: NonNullable<PlanTargets['port']>, byGrinding: boolean): PlanStep | null {
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
  const crank = crankFrom(sizes.geometry);
  const raise =
    present(`${port.portId} edgeDepthMm`, port.edgeDepthMm) - crownDepthFor(crank, 'durationDeg', target.durationDeg);
  if (Math.abs(raise) <= borderSlack) return null;
  if (!byGrinding) {
    return {
      step: raise > 0 ? 'raise_barrel' : 'lower_barrel',
      amount: Math.abs(raise),
      change: raise > 0 ? { baseGasketChangeMm: raise } : { baseCutMm: -raise },
      caution: 'Moves every port, the squish and the volume: look at all of them.',
    };
  }
  if (raise < 0) {
    const mend = 'a grinder can only raise a roof; lower the barrel instead.';
    refuse('not_applicable', 'durationDeg', target.durationDeg, 'longer than it is now', mend);
  }
  return { step: 'grind_roof', amount: raise, change: { edgeGroundMm: { [port.portId]: raise } }, caution: null };
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
 * above it; then the squish by head, deck or gasket; the ratio by the bowl last.
 * @param byGrinding true to raise the one roof with a grinder instead of the barrel
 * @throws missing, non_positive, out_of_range, not_applicable, collision where the parts would touch at the end
 */
export function planFor(sizes: MockUpSizes, targets: PlanTargets, byGrinding = false): Plan {
  const first = targets.port === undefined ? null : portStep(sizes, targets.port, byGrinding);
  const atHeight = shiftedSizes(sizes, first?.change ?? {});
  const second = targets.squishMm === undefined ? null : squishStep(atHeight, targets.squishMm);
  const withSquish = goingTogether(shiftedSizes(atHeight, second?.change ?? {}));
  const third = targets.ratio === undefined ? null : ratioStep(withSquish, targets.ratio);
  const filled = third?.step === 'fill_bowl' ? third.amount : 0;
  const { clearanceVolumeCc } = withSquish;
  const atEnd = shiftedSizes(
    clearanceVolumeCc === undefined ? withSquish : { ...withSquish, clearanceVolumeCc: clearanceVolumeCc - filled },
    third?.change ?? {},
  );
  return { steps: [first, second, third].filter((step) => step !== null), sizesAfter: atEnd };
}
