/** What a change of a mock-up's parts voids among its readings; said before it is kept, marked once it is. */
import type { MockUp } from '../contract/parts.ts';
import {
  changesBetween,
  type MockUpChangeKind,
  type ReadingGroup,
  voidedBy,
  voidReasons,
} from '../planner/void-table.ts';
import { isUsable, type Stamp } from './stamps.ts';
import { stepQuantity } from './steps.ts';

/** The group in which a reading stands or falls; null where nothing voids it. */
export function groupOf(stamp: Stamp): ReadingGroup | null {
  const { subject } = stamp.current;
  switch (subject.what) {
    case 'stop_contact':
    case 'tdc_check':
      return 'true_tdc';
    case 'port_edge':
      return 'port_events';
    case 'quantity':
      return stepQuantity(subject.quantity)?.group ?? null;
  }
}

/** Readings that become void together, with the one reason that is kept with each. */
export interface VoidedReadings {
  readonly group: ReadingGroup;
  readonly reason: string;
  /** Root ids of the stamps that still counted. */
  readonly readingIds: readonly string[];
}

/**
 * What becomes void by a change.
 * @returns only groups in which something still counts, in the order of the void table
 */
export function voidPlan(changes: readonly MockUpChangeKind[], stamps: readonly Stamp[]): VoidedReadings[] {
  const standing = stamps.filter(isUsable);
  return voidedBy(changes).flatMap((group) => {
    const readingIds = standing.filter((stamp) => groupOf(stamp) === group).map(({ root }) => root.id);
    return readingIds.length === 0 ? [] : [{ group, reason: voidReasons(group, changes).join(' '), readingIds }];
  });
}

/** Changes that follow from keeping another configuration of the same mock-up. */
export function changesOfMockUp(before: MockUp, after: Partial<MockUp>): MockUpChangeKind[] {
  return changesBetween(before, { ...before, ...after });
}

/** Plain names of the groups, for the sentence that says what becomes void. */
export const groupTitles: Readonly<Record<ReadingGroup, string>> = {
  marks: 'marks',
  flatness_barrel: 'flatness of the barrel',
  flatness_case: 'flatness of the case mouth',
  flatness_head: 'flatness of the head',
  bore: 'bore',
  piston_diameter: 'piston',
  piston_clearance: 'piston clearance',
  ring_end_gap: 'ring end gap',
  crank_run_out: 'crank run-out',
  rod_side_clearance: 'rod side clearance',
  stroke: 'stroke',
  rod_length: 'rod length',
  base_gasket_thickness: 'base gasket',
  head_gasket_thickness: 'head gasket',
  torque: 'torque',
  true_tdc: 'true TDC',
  deck: 'deck',
  port_events: 'port events',
  port_heights: 'port heights',
  port_map: 'port map',
  squish: 'squish',
  head_volume: 'head volume',
  dome_volume: "the dome's volume",
  assembled_volume: 'volume filled assembled',
  crankcase_volume: 'crankcase volume',
  ignition: 'ignition',
};

/** "true TDC (2), port events (8) and deck (2)", for a sentence. */
export function voidedInWords(plan: readonly VoidedReadings[]): string {
  const names = plan.map(({ group, readingIds }) => `${groupTitles[group]} (${readingIds.length})`);
  const last = names.pop();
  return last === undefined ? '' : names.length === 0 ? last : `${names.join(', ')} and ${last}`;
}

/** Changes that a person may record by hand: a face cut, a port ground, parts swapped without a new mock-up. */
export const recordableChanges: readonly { readonly kind: MockUpChangeKind; readonly title: string }[] = [
  { kind: 'barrel_foot_machined', title: "The barrel's foot was cut" },
  { kind: 'barrel_top_machined', title: 'The top of the barrel was cut' },
  { kind: 'head_face_machined', title: "The head's face was cut" },
  { kind: 'bowl_machined', title: 'The bowl was cut' },
  { kind: 'port_machined', title: 'A port was ground' },
  { kind: 'bore_machined', title: 'The bore was honed, bored or plated' },
  { kind: 'rings_changed', title: 'The rings were changed' },
  { kind: 'piston_changed', title: 'The piston was changed' },
  { kind: 'head_changed', title: 'The head was changed' },
  { kind: 'base_gasket_changed', title: 'The base gasket was changed' },
  { kind: 'head_gasket_changed', title: 'The head gasket was changed' },
  { kind: 'bottom_end_changed', title: 'Crank, rod or case was changed' },
];
