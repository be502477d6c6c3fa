import { useMemo, useState } from 'react';
import type { MockUp, Specification } from '../../../core/contract/parts.ts';
import type { ComparedMockUp, ComparedRow } from '../../../core/mockup/compare.ts';
import { type OwnMember, ownSpecification } from '../../../core/mockup/own-specification.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField, TickField } from '../../parts/fields.tsx';
import { limitsWithUnit } from '../../parts/limits-text.ts';
import { keepOwnLimits } from '../../state/own-limits-effects.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient } from '../../state/services.ts';
import { columnTitle } from './compare-words.ts';

interface OwnLimitsPanelProps {
  readonly mockUps: readonly ComparedMockUp[];
  readonly rows: readonly ComparedRow[];
  readonly all: readonly MockUp[];
  readonly onKept: () => Promise<void>;
}

/** A spec sheet where the maker gives none: limits from the mean and spread of one's own measured barrels. */
export function OwnLimitsPanel({ mockUps, rows, all, onKept }: OwnLimitsPanelProps) {
  const client = useClient();
  const [isOpen, setOpen] = useState(false);
  const [leftOut, setLeftOut] = useState<ReadonlySet<string>>(new Set());
  const [unwanted, setUnwanted] = useState<ReadonlySet<string>>(new Set());
  const [targetId, setTargetId] = useState('');
  const [state, setState] = useState<{ tone: 'done' | 'failure'; text: string } | null>(null);
  const [today] = useState(() => new Date().toISOString().slice(0, 10));
  const members = mockUps.filter(({ whole }) => !leftOut.has(whole.mockUp.id));
  const offered = useMemo(
    () =>
      rows
        .filter(({ isPlace }) => !isPlace)
        .flatMap((row): { row: ComparedRow; specification: Specification }[] => {
          const own = mockUps.flatMap(({ whole }, index): OwnMember[] => {
            const value = row.cells[index]?.limitValue ?? null;
            return value === null || leftOut.has(whole.mockUp.id) ? [] : [{ name: whole.barrel.name, value }];
          });
          if (own.length < 2) return [];
          const { key: quantity, unit, decimals } = row;
          return [
            { row, specification: ownSpecification({ quantity, unit, decimals, members: own, measuredOn: today }) },
          ];
        }),
    [rows, mockUps, leftOut, today],
  );
  const wanted = offered.filter(({ row }) => (row.group === 'Port timing') !== unwanted.has(row.key));
  const target =
    all.find(({ id }) => id === targetId) ?? all.find(({ id }) => !members.some(({ whole }) => whole.mockUp.id === id));
  const toggled = (set: ReadonlySet<string>, key: string) => {
    const next = new Set(set);
    if (!next.delete(key)) next.add(key);
    return next;
  };
  const keep = async () => {
    if (target === undefined) return;
    try {
      await keepOwnLimits(
        client,
        target.id,
        wanted.map(({ specification }) => specification),
      );
      await onKept();
      setState({
        tone: 'done',
        text: `${wanted.length} limits are kept with ${target.name}; history has what stood there before.`,
      });
    } catch (error) {
      setState({ tone: 'failure', text: sentenceOf(error) });
    }
  };
  if (!isOpen) {
    return (
      <div className="row">
        <Button onPress={() => setOpen(true)}>Limits from these barrels</Button>
      </div>
    );
  }
  return (
    <section className="panel stack table-scroll" aria-label="Limits from these barrels">
      <h2>Limits from these barrels</h2>
      <p>
        Where the maker gives no limits, the workshop's own barrels can: within these the next barrel of the same kind
        lies with 95 %, as far as so few tell (ISO 16269-8). They say what is usual, not what is right.
      </p>
      <fieldset className="field-set row">
        <legend>Measured barrels that count</legend>
        {mockUps.map((mockUp) => (
          <TickField
            key={mockUp.whole.mockUp.id}
            label={columnTitle(mockUp)}
            isOn={!leftOut.has(mockUp.whole.mockUp.id)}
            onChange={() => setLeftOut(toggled(leftOut, mockUp.whole.mockUp.id))}
          />
        ))}
      </fieldset>
      {offered.length === 0 ? (
        <Notice tone="note">Two measured barrels at least are needed for a spread.</Notice>
      ) : (
        <table className="table">
          <thead>
            <tr>
              <th scope="col">Take over</th>
              <th scope="col">Nominal (limits)</th>
              <th scope="col">Source as it will stand</th>
            </tr>
          </thead>
          <tbody>
            {offered.map(({ row, specification }) => (
              <tr key={row.key}>
                <td>
                  <TickField
                    label={`${row.title}${row.unit === '1' ? '' : `, ${row.unit}`}`}
                    isOn={wanted.some((one) => one.row.key === row.key)}
                    onChange={() => setUnwanted(toggled(unwanted, row.key))}
                  />
                </td>
                <td>{limitsWithUnit(specification)}</td>
                <td className="muted small">{specification.source}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <ChoiceField
        label="Keep them with"
        value={target?.id ?? ''}
        choices={all.map(({ id, name }) => ({ value: id, title: name }))}
        onChange={setTargetId}
      />
      {state === null ? null : <Notice tone={state.tone}>{state.text}</Notice>}
      <div className="row">
        <Button look="main" isDisabled={wanted.length === 0 || target === undefined} onPress={() => void keep()}>
          Keep {String(wanted.length)} limits
        </Button>
        <Button look="quiet" onPress={() => setOpen(false)}>
          Close
        </Button>
      </div>
    </section>
  );
}
