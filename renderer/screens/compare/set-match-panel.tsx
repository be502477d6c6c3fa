import { useMemo, useState } from 'react';
import { bestPlacing, type PlacedFigure } from '../../../core/mockup/barrel-moves.ts';
import type { ComparedMockUp, ComparedRow } from '../../../core/mockup/compare.ts';
import { matchOfSet, matchRuleSource } from '../../../core/mockup/set-match.ts';
import { adviceCaution } from '../../../core/rules-of-thumb/rule.ts';
import { ChoiceField } from '../../parts/fields.tsx';
import { figureText } from '../../parts/figure-text.ts';
import type { VerdictKind } from '../../parts/verdict.tsx';
import { usePreferences } from '../../state/services.ts';
import { cellExpanded, cellText, columnTitle, unitOfRow } from './compare-words.ts';

interface SetMatchPanelProps {
  readonly mockUps: readonly ComparedMockUp[];
  readonly rows: readonly ComparedRow[];
}

/** A rule of the trade is a reference and gives no verdict. */
const againstRule: Partial<Readonly<Record<VerdictKind, string>>> = {
  conforming: 'within that',
  not_conforming: 'more than that',
  cannot_be_decided: "can't be told from it",
};

/** How well the chosen ones match as a set; for more than one cylinder also which barrel belongs where. */
export function SetMatchPanel({ mockUps, rows }: SetMatchPanelProps) {
  const units = usePreferences();
  const matches = useMemo(() => matchOfSet(rows), [rows]);
  return (
    <section className="panel stack table-scroll" aria-label="As a set">
      <h2>As a set</h2>
      {matches.length === 0 ? (
        <p className="muted">Squish, deck, head volume or port edges of two at least are needed.</p>
      ) : (
        <table className="table">
          <thead>
            <tr>
              <th scope="col">Quantity</th>
              <th scope="col" className="figure">
                Largest less smallest
              </th>
              <th scope="col">Smallest, largest</th>
              <th scope="col">Trade allows</th>
              <th scope="col">Against it</th>
            </tr>
          </thead>
          <tbody>
            {matches.map((match) => {
              const shown = { isCrankAngle: false, unit: match.unit, decimals: match.decimals };
              const name = (index: number) => mockUps[index]?.whole.barrel.name ?? '';
              return (
                <tr key={match.key}>
                  <th scope="row">{match.title}</th>
                  <td className="figure">
                    {cellText(shown, match.spread.value, units)} {cellExpanded(shown, match.spread, units)}{' '}
                    {unitOfRow(shown, units)}
                  </td>
                  <td>
                    {name(match.lowestIndex)}, {name(match.highestIndex)}
                  </td>
                  <td>{figureText(match.rule.largestDifference, match.rule.unit, 2, units)}</td>
                  <td>{againstRule[match.judged.verdict] ?? ''}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      )}
      <p className="small muted">
        {[...new Set(matches.map(({ rule }) => rule.statement))].join(' ')} Source: {matchRuleSource}. {adviceCaution}
      </p>
      <BarrelMovesPart mockUps={mockUps} rows={rows} />
    </section>
  );
}

/** Figures in which cylinder and barrel simply add up. */
const placedKeys = ['squish_minimum', 'squish_mean', 'deck_mean'] as const;

function BarrelMovesPart({ mockUps, rows }: SetMatchPanelProps) {
  const units = usePreferences();
  const engines = new Set(mockUps.map(({ whole }) => whole.engine.id));
  const [first] = mockUps;
  const engine = first?.whole.engine.kind === 'engine' ? first.whole.engine.data : null;
  const choices = rows
    .filter(({ key }) => placedKeys.some((one) => one === key))
    .map(({ key, title }) => ({ value: key, title }));
  const [wanted, setWanted] = useState('');
  const row = rows.find(({ key }) => key === wanted) ?? rows.find(({ key }) => key === choices[0]?.value);
  if (engines.size !== 1 || engine === null || engine.crankPhasesDeg.length < 2) return null;
  const figures = mockUps.flatMap(({ whole }, index): PlacedFigure[] => {
    const value = row?.cells[index]?.value ?? null;
    return value === null
      ? []
      : [{ cylinder: whole.mockUp.cylinderIndex, barrelId: whole.barrel.id, value: value.value }];
  });
  const moves = bestPlacing(figures);
  const barrelName = (id: string) => mockUps.find(({ whole }) => whole.barrel.id === id)?.whole.barrel.name ?? '';
  const cylinderName = (index: number) => engine.cylinderNames[index] ?? `Cylinder ${index + 1}`;
  const spreadText = (spread: number) => (row === undefined ? '' : figureText(spread, row.unit, 2, units));
  return (
    <div className="stack">
      <h3>Which barrel on which cylinder</h3>
      {row === undefined || moves === null ? (
        <p className="muted">
          Mock up at least one barrel on a second cylinder and choose both here: only then can what belongs to the
          barrel be told from what belongs to the cylinder.
        </p>
      ) : (
        <>
          <ChoiceField label="So that this matches best" value={row.key} choices={choices} onChange={setWanted} />
          <ul>
            {moves.best.barrelIds.map((barrelId, index) => (
              <li key={barrelId}>
                {cylinderName(moves.cylinders[index] ?? 0)}: {barrelName(barrelId)},{' '}
                {figureText(moves.best.values[index] ?? 0, row.unit, 2, units)}
              </li>
            ))}
          </ul>
          <p>
            The spread is then {spreadText(moves.best.spread)}
            {moves.asItStands === null ? '' : `; as it stands it is ${spreadText(moves.asItStands.spread)}`}.{' '}
            {moves.best.readCount} of {moves.cylinders.length} places were read, the others follow from barrel and
            cylinder adding up. Measure again after the change.
          </p>
        </>
      )}
      <p className="small muted">{first === undefined ? '' : `Engine of ${columnTitle(first)}.`}</p>
    </div>
  );
}
