/**
 * Which readings become void when a part, a gasket or a face of a mock-up changes: the one table that everybody asks.
 *
 * Once the stack has been apart, everything read on it is read again: true TDC, deck, ports, squish, volumes and
 * ignition. Readings of a loose part stay, unless that part was changed or machined.
 */

/** Readings that stand or fall together. */
export const readingGroups = [
  'marks',
  'flatness_barrel',
  'flatness_case',
  'flatness_head',
  'bore',
  'piston_diameter',
  'piston_clearance',
  'ring_end_gap',
  'crank_run_out',
  'rod_side_clearance',
  'stroke',
  'rod_length',
  'base_gasket_thickness',
  'head_gasket_thickness',
  'torque',
  'true_tdc',
  'deck',
  'port_events',
  'port_heights',
  'port_map',
  'squish',
  'head_volume',
  'dome_volume',
  'assembled_volume',
  'crankcase_volume',
  'ignition',
] as const;
export type ReadingGroup = (typeof readingGroups)[number];

export const mockUpChangeKinds = [
  'bottom_end_changed',
  'piston_changed',
  'rings_changed',
  'barrel_changed',
  'head_changed',
  'base_gasket_changed',
  'head_gasket_changed',
  'barrel_foot_machined',
  'barrel_top_machined',
  'head_face_machined',
  'bowl_machined',
  'port_machined',
  'bore_machined',
] as const;
export type MockUpChangeKind = (typeof mockUpChangeKinds)[number];

/** What is read on the assembled stack. */
const onTheStack = [
  'torque',
  'true_tdc',
  'deck',
  'port_events',
  'squish',
  'assembled_volume',
  'ignition',
] as const satisfies readonly ReadingGroup[];

export interface VoidRow {
  readonly voids: readonly ReadingGroup[];
  /** Sentence kept with each voided reading and shown. */
  readonly reason: string;
}

export const voidTable: Readonly<Record<MockUpChangeKind, VoidRow>> = {
  bottom_end_changed: {
    voids: [
      ...onTheStack,
      'flatness_case',
      'crank_run_out',
      'rod_side_clearance',
      'stroke',
      'rod_length',
      'crankcase_volume',
    ],
    reason: 'Crank, rod or case was changed: everything that depends on them is read again.',
  },
  piston_changed: {
    voids: [...onTheStack, 'piston_diameter', 'piston_clearance', 'dome_volume', 'crankcase_volume'],
    reason: 'The piston was changed: its fit and everything read on the stack is read again.',
  },
  rings_changed: {
    voids: ['ring_end_gap'],
    reason: 'The rings were changed: their gaps are read again.',
  },
  barrel_changed: {
    voids: [
      ...onTheStack,
      'flatness_barrel',
      'bore',
      'piston_clearance',
      'ring_end_gap',
      'port_heights',
      'port_map',
      'crankcase_volume',
    ],
    reason: 'The barrel was changed: its own sizes and everything read on the stack is read again.',
  },
  head_changed: {
    voids: [...onTheStack, 'flatness_head', 'head_volume'],
    reason: 'The head was changed: its volume and everything read on the stack is read again.',
  },
  base_gasket_changed: {
    voids: [...onTheStack, 'base_gasket_thickness', 'crankcase_volume'],
    reason: 'The base gasket was changed: no reading of the stack is carried across.',
  },
  head_gasket_changed: {
    voids: [...onTheStack, 'head_gasket_thickness'],
    reason: 'The head gasket was changed: no reading of the stack is carried across.',
  },
  barrel_foot_machined: {
    voids: [...onTheStack, 'flatness_barrel', 'crankcase_volume'],
    reason: "The barrel's foot was machined: everything read on the stack is read again.",
  },
  barrel_top_machined: {
    voids: [...onTheStack, 'flatness_barrel', 'port_heights'],
    reason: 'The top of the barrel was machined: heights from it and everything read on the stack are read again.',
  },
  head_face_machined: {
    voids: [...onTheStack, 'flatness_head', 'head_volume'],
    reason: "The head's face was machined: its volume and everything read on the stack is read again.",
  },
  bowl_machined: {
    voids: ['head_volume', 'assembled_volume', 'torque', 'squish'],
    reason: 'The bowl was machined: volumes are read again, and the squish once the head is back on.',
  },
  port_machined: {
    voids: [...onTheStack, 'port_heights', 'port_map'],
    reason: 'A port was ground: its sizes and everything read on the stack is read again.',
  },
  bore_machined: {
    voids: [...onTheStack, 'bore', 'piston_clearance', 'ring_end_gap', 'port_map'],
    reason: 'The bore was machined or plated: its fits and everything read on the stack is read again.',
  },
};

/** Groups voided by several changes at once, each named once, in the order of `readingGroups`. */
export function voidedBy(changes: readonly MockUpChangeKind[]): ReadingGroup[] {
  const voided = new Set<ReadingGroup>(changes.flatMap((change) => voidTable[change].voids));
  return readingGroups.filter((group) => voided.has(group));
}

/** Reasons of the changes that void a group; empty where it stays valid. */
export function voidReasons(group: ReadingGroup, changes: readonly MockUpChangeKind[]): string[] {
  return changes.filter((change) => voidTable[change].voids.includes(group)).map((change) => voidTable[change].reason);
}

/** What a mock-up is made of, as far as a change of it voids readings. */
export interface MockUpParts {
  readonly engineId: string;
  readonly barrelId: string;
  readonly pistonId: string | null;
  readonly headId: string | null;
  readonly baseGasketId: string | null;
  readonly headGasketId: string | null;
  readonly baseGasketMm: number | null;
  readonly headGasketMm: number | null;
}

/** Naming a part, or measuring a gasket, for the first time changes nothing that was read. */
function isReplaced(before: string | number | null, after: string | number | null): boolean {
  return before !== null && before !== after;
}

/** Changes between two states of one mock-up. */
export function changesBetween(before: MockUpParts, after: MockUpParts): MockUpChangeKind[] {
  const changes: MockUpChangeKind[] = [];
  if (isReplaced(before.engineId, after.engineId)) changes.push('bottom_end_changed');
  if (isReplaced(before.pistonId, after.pistonId)) changes.push('piston_changed');
  if (isReplaced(before.barrelId, after.barrelId)) changes.push('barrel_changed');
  if (isReplaced(before.headId, after.headId)) changes.push('head_changed');
  if (isReplaced(before.baseGasketId, after.baseGasketId) || isReplaced(before.baseGasketMm, after.baseGasketMm)) {
    changes.push('base_gasket_changed');
  }
  if (isReplaced(before.headGasketId, after.headGasketId) || isReplaced(before.headGasketMm, after.headGasketMm)) {
    changes.push('head_gasket_changed');
  }
  return changes;
}
