import type { Port, PortKind, PortSide } from '../../core/contract/parts.ts';
import { portKindTable } from '../../core/ports/kinds.ts';

/** Name of a port kind on screen and paper. */
export const portKindTitles: Readonly<Record<PortKind, string>> = {
  exhaust: portKindTable.exhaust.title,
  auxiliary_exhaust: portKindTable.auxiliary_exhaust.title,
  transfer_main: portKindTable.transfer_main.title,
  transfer_secondary: portKindTable.transfer_secondary.title,
  boost: portKindTable.boost.title,
  intake_skirt: portKindTable.intake_skirt.title,
  intake_disc: portKindTable.intake_disc.title,
  intake_reed: portKindTable.intake_reed.title,
};

export const portSideTitles: Readonly<Record<PortSide, string>> = {
  none: 'one, no side',
  drive_side: 'drive side',
  ignition_side: 'ignition side',
  both: 'both, as a group',
};

/** Family of a port kind: has one colour; the line style tells its members apart. */
export type PortFamily = 'exhaust' | 'transfer' | 'boost' | 'intake';

export function familyOf(kind: PortKind): PortFamily {
  switch (kind) {
    case 'exhaust':
    case 'auxiliary_exhaust':
      return 'exhaust';
    case 'transfer_main':
    case 'transfer_secondary':
      return 'transfer';
    case 'boost':
      return 'boost';
    case 'intake_skirt':
    case 'intake_disc':
    case 'intake_reed':
      return 'intake';
  }
}

/** A label to start from when a port of this kind is added. */
export function labelFor(kind: PortKind, side: PortSide): string {
  const title = portKindTitles[kind].split(',')[0] ?? '';
  const plural = side === 'both' ? `${title}s` : title;
  return side === 'drive_side' || side === 'ignition_side' ? `${plural}, ${portSideTitles[side]}` : plural;
}

export function sidesOf(kind: PortKind): readonly PortSide[] {
  switch (kind) {
    case 'exhaust':
    case 'boost':
    case 'intake_skirt':
    case 'intake_disc':
    case 'intake_reed':
      return ['none', 'drive_side', 'ignition_side', 'both'];
    case 'auxiliary_exhaust':
    case 'transfer_main':
    case 'transfer_secondary':
      return ['both', 'drive_side', 'ignition_side', 'none'];
  }
}

/** Label with the count of windows where it stands for several. */
export function portWithCount(port: Port): string {
  return port.windowCount > 1 ? `${port.label} (${port.windowCount} windows)` : port.label;
}
