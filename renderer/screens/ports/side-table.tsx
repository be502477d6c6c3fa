import type { SidePair } from '../../../core/mockup/side-pairs.ts';
import type { FigureKind } from '../../../core/planner/figure-list.ts';
import { shownDifference, shownDifferenceU } from '../../parts/figure-words.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import { VerdictMark } from '../../parts/verdict.tsx';
import { Open } from './asked-figure.tsx';

interface SideTableProps {
  readonly pairs: readonly SidePair[];
  readonly shown: ShownSizes;
}

const columns: readonly { readonly kind: FigureKind; readonly title: (shown: ShownSizes) => string }[] = [
  { kind: 'opens', title: () => 'Opening, deg' },
  { kind: 'duration', title: () => 'Duration, deg' },
  { kind: 'full_area', title: ({ areaUnit }) => `Area, ${areaUnit}` },
  { kind: 'time_area', title: () => 'Time-area, s·mm²' },
];

/** Drive side against ignition side: what differs, by how much, and whether the difference is real. */
export function SideTable({ pairs, shown }: SideTableProps) {
  if (pairs.length === 0) return null;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: without a control inside, only so can the keyboard scroll it
    <section className="panel table-scroll" aria-label="Drive side against ignition side" tabIndex={0}>
      <h2>Drive side against ignition side</h2>
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Drive side less ignition side</th>
            <th scope="col" className="figure">
              Chord, {shown.lengthUnit}
            </th>
            <th scope="col" className="figure">
              Height, {shown.lengthUnit}
            </th>
            {columns.map(({ kind, title }) => (
              <th key={kind} scope="col" className="figure">
                {title(shown)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {pairs.map((pair) => (
            <tr key={pair.drive.portId}>
              <th scope="row">{pair.drive.label}</th>
              <td className="figure">{length(pair, 'widthMm', shown)}</td>
              <td className="figure">{length(pair, 'heightMm', shown)}</td>
              {columns.map(({ kind }) => (
                <td key={kind} className="figure">
                  <Difference pair={pair} kind={kind} shown={shown} />
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <p className="small muted">
        Diamond: the difference is larger than its U (k = 2), so it is real. Ring: it is not, so it may be chance. A
        positive opening: the drive side opens later. Trade practice looks for no more than 0.2 mm or half a degree
        between the sides; that is a habit, not a limit.
      </p>
    </section>
  );
}

function Difference({ pair, kind, shown }: { pair: SidePair; kind: FigureKind; shown: ShownSizes }) {
  const found = pair.differences.get(kind);
  if (found === undefined) return <Open />;
  const { item, difference, isReal } = found;
  const u = shownDifferenceU(item, difference.sigma, shown);
  return (
    <>
      {shownDifference(item, difference.value, shown)}
      {u === '' ? null : <span className="muted"> ± {u}</span>}
      {difference.value === 0 ? null : (
        <>
          {' '}
          <VerdictMark kind={isReal ? 'not_conforming' : 'cannot_be_decided'} />
          <span className="visually-hidden">{isReal ? 'real' : 'not certain'}</span>
        </>
      )}
    </>
  );
}

function length({ drive, ignition }: SidePair, field: 'widthMm' | 'heightMm', shown: ShownSizes) {
  const [first, second] = [drive[field], ignition[field]];
  if (first === null || second === null) return <Open />;
  return shown.signed((first - second) * shown.perMm, shown.lengthUnit === 'in' ? 4 : 2);
}
