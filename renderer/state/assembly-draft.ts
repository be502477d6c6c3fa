import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { EdgeCriterion, MockUp, Port } from '../../core/contract/parts.ts';
import { criterionProblem } from '../../core/mockup/criterion.ts';
import { joinStamps } from '../../core/mockup/stamps.ts';
import { changesOfMockUp, type VoidedReadings, voidPlan } from '../../core/mockup/void-plan.ts';
import type { MockUpChangeKind } from '../../core/planner/void-table.ts';
import { type FieldProblem, type MockUpDraft, mockUpProblem } from './build-draft.ts';

/** Everything of a mock-up's configuration that its own screen edits. */
export interface AssemblyDraft extends MockUpDraft {
  readonly headGasketMm: number | null;
  readonly governs: MockUp['governs'];
  readonly pistonId: string | null;
  readonly headId: string | null;
  readonly baseGasketId: string | null;
  readonly headGasketId: string | null;
  readonly portCriteria: Readonly<Record<string, EdgeCriterion>>;
}

export function assemblyOf({ mockUp }: MockUpWhole): AssemblyDraft {
  const { name, baseGasketMm, cylinderIndex, criterion, roomTemperatureC } = mockUp;
  const { headGasketMm, governs, pistonId, headId, baseGasketId, headGasketId, portCriteria } = mockUp;
  return {
    name,
    baseGasketMm,
    cylinderIndex,
    criterion,
    roomTemperatureC,
    headGasketMm,
    governs,
    pistonId,
    headId,
    baseGasketId,
    headGasketId,
    portCriteria,
  };
}

export function assemblyProblem(draft: AssemblyDraft, ports: readonly Port[]): FieldProblem | null {
  const first = mockUpProblem(draft);
  if (first !== null) return first;
  for (const { portId, label } of ports) {
    const own = draft.portCriteria[portId];
    const sentence = own === undefined ? null : criterionProblem(own);
    if (sentence !== null) return { field: `criterion ${portId}`, sentence: `${label}: ${sentence}` };
  }
  return null;
}

/** The port's own criterion replaced, or taken away so that the mock-up's counts again. */
export function withPortCriterion(draft: AssemblyDraft, portId: string, own: EdgeCriterion | null): AssemblyDraft {
  const others = Object.fromEntries(Object.entries(draft.portCriteria).filter(([id]) => id !== portId));
  return { ...draft, portCriteria: own === null ? others : { ...others, [portId]: own } };
}

/** What keeping a draft would void: asked about before it is kept. */
export interface VoidQuestion {
  readonly changes: readonly MockUpChangeKind[];
  readonly plan: readonly VoidedReadings[];
}

/** @returns null where nothing that was read depends on what is different */
export function voidQuestion(whole: MockUpWhole, draft: AssemblyDraft): VoidQuestion | null {
  const changes = changesOfMockUp(whole.mockUp, { ...draft, portCriteria: { ...draft.portCriteria } });
  const plan = voidPlan(changes, joinStamps(whole.readings, whole.marks));
  return plan.length === 0 ? null : { changes, plan };
}
