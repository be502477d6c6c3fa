import { Fragment } from 'react';
import { type ComparedMockUp, type ComparedRow, compareGroups, differenceFrom } from '../../../core/mockup/compare.ts';
import { Button } from '../../parts/controls.tsx';
import { limitsWithUnit } from '../../parts/limits-text.ts';
import type { Origin } from '../../parts/origin-panel.tsx';
import { VerdictMark, verdictWords } from '../../parts/verdict.tsx';
import { formatRoute } from '../../state/route.ts';
import { usePreferences } from '../../state/services.ts';
import { cellExpanded, cellText, columnTitle, differenceText, originOfCell, unitOfRow } from './compare-words.ts';

interface CompareTableProps {
  readonly mockUps: readonly ComparedMockUp[];
  readonly rows: readonly ComparedRow[];
  readonly sortedBy: { readonly key: string; readonly direction: 'rising' | 'falling' } | null;
  readonly onSort: (row: ComparedRow) => void;
  /** Makes a column the one that the others are held against. */
  readonly onReference: (index: number) => void;
  readonly onOrigin: (origin: Origin) => void;
}

/** Every figure of every mock-up, difference to the first column and verdict in the cell. */
export function CompareTable(props: CompareTableProps) {
  const { mockUps, rows } = props;
  return (
    <section className="panel table-scroll" aria-label="Side by side">
      <table className="table compare-table">
        <thead>
          <tr>
            <th scope="col">Quantity</th>
            {mockUps.map((mockUp, index) => (
              <th key={mockUp.whole.mockUp.id} scope="col" className="figure">
                <a href={formatRoute({ screen: 'mock-up', mockUpId: mockUp.whole.mockUp.id, place: 'overview' })}>
                  {columnTitle(mockUp)}
                </a>
                <div className="small">
                  {index === 0 ? (
                    <span className="muted">reference</span>
                  ) : (
                    <Button
                      look="quiet"
                      name={`Make reference: ${columnTitle(mockUp)}`}
                      onPress={() => props.onReference(index)}
                    >
                      Make reference
                    </Button>
                  )}
                </div>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {compareGroups.map((group) => {
            const own = rows.filter((row) => row.group === group);
            if (own.length === 0) return null;
            return (
              <Fragment key={group}>
                <tr className="compare-group">
                  <th scope="colgroup" colSpan={mockUps.length + 1}>
                    {group}
                  </th>
                </tr>
                {own.map((row) => (
                  <Row key={row.key} row={row} {...props} />
                ))}
              </Fragment>
            );
          })}
        </tbody>
      </table>
      <p className="small muted">
        "Real": the difference from the reference is larger than its U (k = 2). "Within U": it may be chance. Limits and
        verdicts are those of each mock-up.
      </p>
    </section>
  );
}

function Row({ row, mockUps, sortedBy, onSort, onOrigin }: CompareTableProps & { row: ComparedRow }) {
  const units = usePreferences();
  const unit = row.isCrankAngle ? '' : unitOfRow(row, units);
  const name = unit === '' ? row.title : `${row.title}, ${unit}`;
  const direction = sortedBy?.key === row.key ? sortedBy.direction : null;
  return (
    <tr>
      <th scope="row">
        <button
          type="button"
          className="compare-sort"
          aria-pressed={direction !== null}
          aria-label={`${name}: order the columns${direction === null ? '' : `, now ${direction}`}`}
          onClick={() => onSort(row)}
        >
          {name}
          <span aria-hidden="true"> {direction === 'rising' ? '▲' : direction === 'falling' ? '▼' : ''}</span>
        </button>
      </th>
      {row.cells.map((cell, index) => {
        const mockUp = mockUps[index];
        if (mockUp === undefined) return null;
        const { value, judged } = cell;
        const column = columnTitle(mockUp);
        if (value === null) {
          return (
            <td key={mockUp.whole.mockUp.id} className="figure muted">
              open
            </td>
          );
        }
        const difference = index === 0 ? null : differenceFrom(row, 0, index);
        const isJudged = judged.verdict !== 'no_limits' && judged.verdict !== 'not_measured';
        return (
          <td key={mockUp.whole.mockUp.id} className="figure">
            <button
              type="button"
              className="number-button"
              aria-label={`${row.title}, ${column}, ${cellText(row, value.value, units)}: where does it come from`}
              onClick={() => {
                const origin = originOfCell(row, cell, column, units);
                if (origin !== null) onOrigin(origin);
              }}
            >
              {cellText(row, value.value, units)}
            </button>{' '}
            <span className="muted">{cellExpanded(row, value, units)}</span>
            {difference === null ? null : (
              <div className={difference.distinguishable ? 'small compare-real' : 'small muted'}>
                {differenceText(row, difference.difference, units)} {difference.distinguishable ? 'real' : 'within U'}
              </div>
            )}
            {isJudged ? (
              <div
                className={`small verdict verdict-${judged.verdict}`}
                title={`Limits ${limitsWithUnit(judged.specification) ?? ''}, ${judged.specification?.source ?? ''}`}
              >
                <VerdictMark kind={judged.verdict} /> <span>{verdictWords[judged.verdict]}</span>
              </div>
            ) : null}
          </td>
        );
      })}
    </tr>
  );
}
