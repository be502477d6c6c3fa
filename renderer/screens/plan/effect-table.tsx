import { Fragment } from 'react';
import type { Port } from '../../../core/contract/parts.ts';
import type { PlannedRow, Trend } from '../../../core/mockup/planned-rows.ts';
import type { FigureItem, FigureKind } from '../../../core/planner/figure-list.ts';
import type { Value } from '../../../core/uncertainty/value.ts';
import { LineSample } from '../../drawings/line-sample.tsx';
import {
  figureTitle,
  figureTitles,
  shownDifference,
  shownDifferenceU,
  shownExpanded,
  shownFigure,
} from '../../parts/figure-words.ts';
import { limitsWithUnit } from '../../parts/limits-text.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import { Verdict, verdictWords } from '../../parts/verdict.tsx';

interface EffectTableProps {
  readonly rows: readonly PlannedRow[];
  readonly ports: readonly Port[];
  readonly shown: ShownSizes;
  readonly isPlanned: boolean;
  readonly onOrigin: (item: FigureItem, value: Value, title: string) => void;
}

/** Every figure before and after, port by port, then what belongs to all of them. */
export function EffectTable({ rows, ports, shown, isPlanned, onOrigin }: EffectTableProps) {
  const groups = [
    ...ports.map((port) => ({
      key: port.portId,
      title: port.label,
      kind: port.kind,
      rows: rows.filter(({ item }) => item.portId === port.portId),
    })),
    {
      key: 'all',
      title: 'Blowdown, stack, volumes',
      kind: null,
      rows: rows.filter(({ item }) => item.portId === null),
    },
  ].filter((group) => group.rows.length > 0);
  return (
    <table className="table plan-table">
      <thead>
        <tr>
          <th scope="col">Figure</th>
          <th scope="col" className="figure">
            As it stands
          </th>
          <th scope="col" className="figure">
            As planned
          </th>
          <th scope="col" className="figure">
            Difference
          </th>
          <th scope="col">{isPlanned ? 'Verdict as planned, limits' : 'Verdict, limits'}</th>
        </tr>
      </thead>
      <tbody>
        {groups.map((group) => (
          <Fragment key={group.key}>
            <tr className="table-group">
              <th scope="rowgroup" colSpan={5}>
                {group.kind === null ? null : <LineSample kind={group.kind} />}
                {group.title}
              </th>
            </tr>
            {group.rows.map((row) => (
              <Row key={row.item.key} row={row} ports={ports} shown={shown} isPlanned={isPlanned} onOrigin={onOrigin} />
            ))}
          </Fragment>
        ))}
      </tbody>
    </table>
  );
}

function Row({
  row,
  ports,
  shown,
  isPlanned,
  onOrigin,
}: Omit<EffectTableProps, 'rows'> & { readonly row: PlannedRow }) {
  const { item, before, after, difference, isChanged, trend } = row;
  const title = figureTitle(item, ports);
  const hasChanged = isPlanned && isChanged;
  const differenceU = difference === null ? '' : shownDifferenceU(item, difference.sigma, shown);
  return (
    <tr className={hasChanged ? `plan-row-${trend}` : undefined}>
      <th scope="row">{shortTitle(item.kind)}</th>
      <td className="figure">
        <Asked
          name={title}
          text={shownFigure(item, before.value, shown)}
          onPress={() => onOrigin(item, before, title)}
        />
        {before.sigma === 0 ? null : (
          <span className="muted plan-u"> ± {shownExpanded(item, before.sigma, shown)}</span>
        )}
      </td>
      <td className={`figure ${hasChanged ? '' : 'muted'}`}>
        {!isPlanned ? (
          ''
        ) : after === null ? (
          'none'
        ) : hasChanged ? (
          <Asked
            name={`${title} as planned`}
            text={shownFigure(item, after.value, shown)}
            onPress={() => onOrigin(item, after, `${title} as planned`)}
          />
        ) : (
          shownFigure(item, after.value, shown)
        )}
      </td>
      <td className="figure">
        {!hasChanged ? (
          <span className="muted">{isPlanned ? '0' : ''}</span>
        ) : difference === null ? (
          'none'
        ) : (
          <>
            {trend === 'better' || trend === 'worse' ? (
              <span className={`plan-trend-${trend}`} aria-hidden="true">
                {trendMarks[trend]}{' '}
              </span>
            ) : null}
            {shownDifference(item, difference.value, shown)}
            {differenceU === '' ? null : <span className="muted plan-u"> ± {differenceU}</span>}
          </>
        )}
      </td>
      <td>
        <Standing row={row} isPlanned={isPlanned} hasChanged={hasChanged} />
      </td>
    </tr>
  );
}

/** Verdict and limits together, and which way the plan moves the figure against them. */
function Standing({ row, isPlanned, hasChanged }: { row: PlannedRow; isPlanned: boolean; hasChanged: boolean }) {
  const limits = limitsWithUnit(row.judgedBefore.specification);
  if (limits === null) return <span className="muted">no limits given</span>;
  return (
    <>
      <Verdict kind={(isPlanned ? row.judgedAfter : row.judgedBefore).verdict} />{' '}
      <span className="muted plan-limits">{limits}</span>
      {hasChanged ? <TrendWord trend={row.trend} before={row} /> : null}
    </>
  );
}

/** A number that can be asked where it comes from. */
function Asked({ name, text, onPress }: { name: string; text: string; onPress: () => void }) {
  return (
    <button
      type="button"
      className="number-button"
      aria-label={`${name} ${text}: where does it come from`}
      onClick={onPress}
    >
      {text}
    </button>
  );
}

/** Under its port's heading a figure needs the port's name no more. */
function shortTitle(kind: FigureKind): string {
  const title = figureTitles[kind];
  return `${title.slice(0, 1).toUpperCase()}${title.slice(1)}`;
}

const trendMarks = { better: '▲', worse: '▼' } as const;

const trendWords: Readonly<Record<Exclude<Trend, 'not_judged'>, string>> = {
  better: '▲ better',
  worse: '▼ worse',
  same: 'as before',
};

function TrendWord({ trend, before }: { trend: Trend; before: PlannedRow }) {
  if (trend === 'not_judged') return null;
  const was = before.judgedBefore.verdict;
  const isOther = was !== before.judgedAfter.verdict;
  return (
    <div className={`plan-trend plan-trend-${trend}`}>
      {trendWords[trend]}
      {isOther ? <span className="muted"> (was: {verdictWords[was]})</span> : null}
    </div>
  );
}
