import type { PortKind } from '../../core/contract/parts.ts';

/** How the open span of a port kind is drawn: one or two lines, and their dashes in units of the line's pitch. */
export interface LineStyle {
  readonly isDouble: boolean;
  readonly dashes: readonly number[] | null;
}

/** Port kinds are told apart by this and by their label; the colour only repeats the family. */
export function lineStyleOf(kind: PortKind): LineStyle {
  switch (kind) {
    case 'exhaust':
      return { isDouble: false, dashes: null };
    case 'auxiliary_exhaust':
      return { isDouble: false, dashes: [3, 1.2] };
    case 'transfer_main':
      return { isDouble: true, dashes: null };
    case 'transfer_secondary':
      return { isDouble: true, dashes: [3, 1.2] };
    case 'boost':
      return { isDouble: false, dashes: [0.7, 0.7] };
    case 'intake_skirt':
      return { isDouble: false, dashes: [4, 1, 0.7, 1] };
    case 'intake_disc':
      return { isDouble: true, dashes: [4, 1, 0.7, 1] };
    case 'intake_reed':
      return { isDouble: true, dashes: [0.7, 0.7] };
  }
}

/** Dash pattern for a line of a lane of this pitch. */
export function dashArray(style: LineStyle, pitch: number): string | undefined {
  return style.dashes?.map((dash) => (dash * pitch).toFixed(2)).join(' ');
}
