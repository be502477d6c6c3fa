import type { Part, PartKind } from '../../core/contract/parts.ts';
import type { Words } from '../state/words.ts';
import type { ShownSizes } from './shown-size.ts';

/** Name of a kind of part, in the words of Preferences. */
export function partKindTitle(kind: PartKind, words: Words): string {
  return kind === 'barrel' ? words.Barrel : kindTitles[kind];
}

const kindTitles: Readonly<Record<PartKind, string>> = {
  engine: 'Engine',
  barrel: 'Barrel',
  piston: 'Piston',
  head: 'Head',
  gasket: 'Gasket',
};

export const partKinds: readonly PartKind[] = ['engine', 'barrel', 'piston', 'head', 'gasket'];

/** What tells a part from its like at a glance: its first sizes, one line. */
export function partSizes(part: Part, shown: ShownSizes): string {
  const length = (title: string, valueMm: number | null, decimals?: number) =>
    valueMm === null ? '' : `${title} ${shown.length(valueMm, decimals)}`;
  switch (part.kind) {
    case 'engine':
      return [
        length('stroke', part.data.strokeMm),
        length('rod', part.data.rodLengthMm),
        part.data.crankPhasesDeg.length > 1 ? `${part.data.crankPhasesDeg.length} cylinders` : '',
      ]
        .filter(isSaid)
        .join(', ');
    case 'barrel':
      return [length('bore', part.data.boreMm), `${part.data.ports.length} ports`].filter(isSaid).join(', ');
    case 'piston':
      return [
        length('diameter', part.data.diameterMm, 3),
        part.data.domeVolumeCc === null ? '' : `dome ${shown.number(part.data.domeVolumeCc, 2)} cm³`,
      ]
        .filter(isSaid)
        .join(', ');
    case 'head':
      return [
        part.data.volumeCc === null ? '' : `volume ${shown.number(part.data.volumeCc, 2)} cm³`,
        length('bowl', part.data.bowlDiameterMm),
      ]
        .filter(isSaid)
        .join(', ');
    case 'gasket':
      return [
        part.data.place === 'base' ? 'base' : 'head',
        length('new', part.data.thicknessNewMm),
        length('crushed', part.data.thicknessCrushedMm),
      ]
        .filter(isSaid)
        .join(', ');
  }
}

function isSaid(text: string): boolean {
  return text !== '';
}
