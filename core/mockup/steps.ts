/** The whole mock-up as ordered steps: what is read at each, where, and with what. How to do it: step-guidance.ts. */
import type { Port } from '../contract/parts.ts';
import { portKindTable } from '../ports/kinds.ts';
import type { Position, Step, StepId, StepQuantity } from './step-shape.ts';
import { partSteps } from './steps-of-parts.ts';
import { stackSteps } from './steps-of-stack.ts';

/** Every step in the order of the job. */
export const steps: readonly Step[] = [...partSteps, ...stackSteps];

const stepById = new Map(steps.map((entry) => [entry.id, entry]));
const quantityById = new Map(steps.flatMap((entry) => entry.quantities.map((described) => [described.id, described])));

export function stepOf(id: StepId): Step {
  // Every id of the list has its step; a test holds the two together.
  return stepById.get(id) as Step;
}

/** The step quantity of that id, or null for readings that no step knows (imported, of a later version). */
export function stepQuantity(id: string): StepQuantity | null {
  return quantityById.get(id) ?? null;
}

/** Where a quantity is read on a barrel with these ports. */
export function positionsOf(described: StepQuantity, ports: readonly Port[]): readonly Position[] {
  if (described.positions !== 'each_port') return described.positions;
  return ports
    .filter((port) => portKindTable[port.kind].edges.length > 0)
    .map((port) => ({ id: port.portId, title: port.label }));
}

/** Name of a reading place: "Bore along the pin, top". */
export function placeTitle(described: StepQuantity, position: Position): string {
  return position.title === '' ? described.title : `${described.title}, ${position.title}`;
}

/**
 * Quantity under which a step that was passed over is kept as a reading: its position is the step's id, its note the
 * reason. Striking that reading takes the step up again, so a skip is undone and redone like any reading.
 */
export const skippedQuantity = 'step_skipped';

/** Quantity under which a change of a part or a cut of a face is kept; its position names the change. */
export const changeQuantity = 'part_changed';
