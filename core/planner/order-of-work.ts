/** The order in which a planned change is cut, so that nothing is done twice, and what each step voids. */
import { portKindTable } from '../ports/kinds.ts';
import type { Cc, Mm } from '../units.ts';
import type { MockUpChange } from './effects.ts';
import type { MockUpSizes } from './mock-up-figures.ts';
import type { MockUpChangeKind } from './void-table.ts';

export type WorkKind =
  | 'stroke'
  | 'rod'
  | 'base_gasket'
  | 'barrel_foot'
  | 'deck'
  | 'port_roof'
  | 'port_floor'
  | 'head_gasket'
  | 'head_face'
  | 'squish_band'
  | 'bowl';

/** One step of the work. */
export interface WorkStep {
  readonly kind: WorkKind;
  /** Ports only. */
  readonly portId: string | null;
  /** In mm, cm^3 for the bowl; gaskets, stroke and rod with their sign, cuts positive. */
  readonly amount: Mm | Cc;
  readonly voids: MockUpChangeKind;
  /** What to mind at this step, most of it trade practice; the maker's manual comes before it. */
  readonly cautions: readonly string[];
}

const grinding: readonly string[] = [
  'Eyes: goggles, not spectacles; the stone throws metal at you.',
  'Plating dust (nickel, silicon carbide, chrome) harms the lungs: mask, extraction, no dry grinding.',
  'Grind short of the mark, mock up again, then take the rest: metal doesn’t go back on.',
  'Mask the bore, keep the stone off the wall, chamfer the edge again only after the timing is read.',
];
const machining: readonly string[] = [
  'Leave a tenth, mock up again, then take the rest.',
  'Square to the bore: a face cut out of square tilts squish and ports.',
];
const bottomEnd: readonly string[] = [
  'Crank and rod are work for a specialist shop: pressing, truing and balance decide whether it runs.',
];
const smallSquish: readonly string[] = [
  "The least squish is the maker's figure: rod stretch, play and heat take a part of what is measured cold.",
];

/**
 * Steps of a change in the order of the trade: bottom end, barrel height, ports, squish, bowl last. Barrel height moves
 * everything above it, head work moves squish and volume only, bowl work the volume only.
 * @param sizes of the mock-up, for the kinds of its ports
 */
export function orderOfWork(change: MockUpChange, sizes: MockUpSizes): readonly WorkStep[] {
  const step = (
    kind: WorkKind,
    amount: number | undefined,
    voids: MockUpChangeKind,
    cautions: readonly string[],
    portId: string | null = null,
  ): readonly WorkStep[] => (amount === undefined || amount === 0 ? [] : [{ kind, portId, amount, voids, cautions }]);
  const ports = sizes.ports.flatMap(({ portId, kind }) => {
    const opensFromRoof = portKindTable[kind].decidedBy === 'roof';
    const deciding = change.edgeGroundMm?.[portId];
    const far = change.farEdgeGroundMm?.[portId];
    const [roof, floor] = opensFromRoof ? [deciding, far] : [far, deciding];
    return [
      ...step('port_roof', roof, 'port_machined', grinding, portId),
      ...step('port_floor', floor, 'port_machined', grinding, portId),
    ];
  });
  return [
    ...step('stroke', change.strokeChangeMm, 'bottom_end_changed', bottomEnd),
    ...step('rod', change.rodLengthChangeMm, 'bottom_end_changed', bottomEnd),
    ...step('base_gasket', change.baseGasketChangeMm, 'base_gasket_changed', [
      'Moves every port, the squish and the volume: look at all of them.',
    ]),
    ...step('barrel_foot', change.baseCutMm, 'barrel_foot_machined', machining),
    ...step('deck', change.deckCutMm, 'barrel_top_machined', [...machining, ...smallSquish]),
    ...ports,
    ...step('head_gasket', change.headGasketChangeMm, 'head_gasket_changed', smallSquish),
    ...step('head_face', change.headCutMm, 'head_face_machined', [...machining, ...smallSquish]),
    ...step('squish_band', change.squishBandCutMm, 'head_face_machined', machining),
    ...step('bowl', change.bowlCutCc, 'bowl_machined', ['Cut less than planned, fill by burette, then take the rest.']),
  ];
}

/** True where a change changes nothing. */
export function isNoChange(change: MockUpChange): boolean {
  const isZero = (value: unknown): boolean =>
    value === undefined ||
    value === 0 ||
    (typeof value === 'object' && value !== null && Object.values(value).every(isZero));
  return Object.values(change).every(isZero);
}

/** Several changes made together. */
export function together(changes: readonly MockUpChange[]): MockUpChange {
  const sum: Record<string, number | Record<string, number>> = {};
  for (const change of changes) {
    for (const [field, value] of Object.entries(change)) {
      if (typeof value === 'number') {
        sum[field] = ((sum[field] as number | undefined) ?? 0) + value;
      } else if (value !== undefined) {
        const ports = { ...((sum[field] as Record<string, number> | undefined) ?? {}) };
        for (const [portId, mm] of Object.entries(value as Readonly<Record<string, number>>)) {
          ports[portId] = (ports[portId] ?? 0) + mm;
        }
        sum[field] = ports;
      }
    }
  }
  return sum as MockUpChange;
}
