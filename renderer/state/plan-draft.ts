import type { PlanChange, StoredPlan } from '../../core/contract/plans.ts';
import type { MockUpChange } from '../../core/planner/effects.ts';

/** A plan as it is being made; what is kept has the same shape. */
export type PlanDraft = StoredPlan;

/** Fields that are one number. */
export type PlanNumberField = Exclude<keyof PlanChange, 'edgeGroundMm' | 'farEdgeGroundMm'>;
export type PlanGroundField = 'edgeGroundMm' | 'farEdgeGroundMm';

export function emptyPlan(planId: string, name: string): PlanDraft {
  return { planId, name, change: {}, baseGasketId: null, headGasketId: null, notes: '' };
}

/** "Plan 2" where a first one is there. */
export function nextPlanName(plans: readonly StoredPlan[]): string {
  const names = new Set(plans.map(({ name }) => name));
  let count = plans.length + 1;
  while (names.has(`Plan ${count}`)) count += 1;
  return `Plan ${count}`;
}

/** Noise of a subtraction must not look like a planned cut. */
function clean(value: number | null): number | undefined {
  if (value === null) return undefined;
  const rounded = Number(value.toFixed(6));
  return rounded === 0 ? undefined : rounded;
}

/** Sets one number of the change; null or 0 takes it out. */
export function withNumber(draft: PlanDraft, field: PlanNumberField, value: number | null): PlanDraft {
  const { [field]: _before, ...rest } = draft.change;
  const cleaned = clean(value);
  const change: PlanChange = cleaned === undefined ? rest : { ...rest, [field]: cleaned };
  return {
    ...draft,
    change,
    ...(field === 'baseGasketChangeMm' ? { baseGasketId: null } : {}),
    ...(field === 'headGasketChangeMm' ? { headGasketId: null } : {}),
  };
}

/** Sets what is ground off an edge of one port; null or 0 takes it out. */
export function withGround(draft: PlanDraft, field: PlanGroundField, portId: string, value: number | null): PlanDraft {
  const { [portId]: _before, ...others } = draft.change[field] ?? {};
  const cleaned = clean(value);
  const ground = cleaned === undefined ? others : { ...others, [portId]: cleaned };
  const { [field]: _ground, ...rest } = draft.change;
  return { ...draft, change: Object.keys(ground).length === 0 ? rest : { ...rest, [field]: ground } };
}

/** Takes a gasket of the list instead of the fitted one. */
export function withGasket(
  draft: PlanDraft,
  place: 'base' | 'head',
  gasket: { readonly id: string; readonly thicknessMm: number } | null,
  fittedMm: number,
): PlanDraft {
  const field = place === 'base' ? 'baseGasketChangeMm' : 'headGasketChangeMm';
  const changed = withNumber(draft, field, gasket === null ? null : gasket.thicknessMm - fittedMm);
  return { ...changed, [place === 'base' ? 'baseGasketId' : 'headGasketId']: gasket?.id ?? null };
}

/** Puts a found change in the place of what was planned; name and notes stay. */
export function withFoundChange(draft: PlanDraft, change: MockUpChange): PlanDraft {
  let next: PlanDraft = { ...draft, change: {}, baseGasketId: null, headGasketId: null };
  for (const [field, value] of Object.entries(change)) {
    if (typeof value === 'number') {
      next = withNumber(next, field as PlanNumberField, value);
    } else if (value !== undefined) {
      for (const [portId, mm] of Object.entries(value as Readonly<Record<string, number>>)) {
        next = withGround(next, field as PlanGroundField, portId, mm);
      }
    }
  }
  return next;
}

/** Why a plan can't be kept yet; null where it can. */
export function planProblem(draft: PlanDraft): string | null {
  return draft.name.trim() === '' ? 'Give the plan a name.' : null;
}
