import '../../drawings/drawings.css';
import { useEffect, useMemo, useState } from 'react';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { MockUp } from '../../../core/contract/parts.ts';
import { timingResult } from '../../../core/mockup/timing-result.ts';
import { compareValues } from '../../../core/uncertainty/conformity.ts';
import type { Value } from '../../../core/uncertainty/value.ts';
import { type BandRow, TimingBand } from '../../drawings/timing-band.tsx';
import { shownAngle } from '../../drawings/timing-data.ts';
import { Notice } from '../../parts/controls.tsx';
import { TickField } from '../../parts/fields.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { VerdictMark } from '../../parts/verdict.tsx';
import { diagramOf, type MockUpResult } from '../../state/mock-up-result.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { navigate, useClient } from '../../state/services.ts';

interface Column {
  readonly whole: MockUpWhole;
  readonly result: MockUpResult;
}

/** As many as fit side by side and stay readable. */
const mostColumns = 8;

/** Mock-ups side by side: which differences are larger than their uncertainty. */
export function CompareScreen({ mockUpIds }: { mockUpIds: readonly string[] }) {
  const client = useClient();
  const [all, setAll] = useState<readonly MockUp[]>([]);
  const [columns, setColumns] = useState<readonly Column[] | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const [hidesEqual, setHidesEqual] = useState(false);
  const wanted = mockUpIds.slice(0, mostColumns).join(',');
  useEffect(() => {
    let isGone = false;
    const read = async () => {
      const list = await client.call('mockUp.list', {});
      const wholes = await Promise.all(
        wanted
          .split(',')
          .filter((id) => id !== '')
          .map((id) => client.call('mockUp.whole', { id })),
      );
      if (isGone) return;
      setAll(list);
      setColumns(wholes.map((whole) => ({ whole, result: timingResult(whole) })));
    };
    read().catch((error: unknown) => setFailure(sentenceOf(error)));
    return () => {
      isGone = true;
    };
  }, [client, wanted]);
  const choose = (id: string, isOn: boolean) =>
    navigate({ screen: 'compare', mockUpIds: isOn ? [...mockUpIds, id] : mockUpIds.filter((one) => one !== id) });
  if (failure !== null) return <FailedState isScreen what="The mock-ups can't be read" sentence={failure} />;
  if (columns === null) return <LoadingState what="Reading the mock-ups" />;
  return (
    <div className="desk">
      <h1>Compare</h1>
      <fieldset className="field-set row">
        <legend>Two to eight mock-ups; the others are held against the first</legend>
        {all.map((mockUp) => (
          <TickField
            key={mockUp.id}
            label={mockUp.name}
            isOn={mockUpIds.includes(mockUp.id)}
            onChange={(isOn) => choose(mockUp.id, isOn)}
          />
        ))}
      </fieldset>
      {mockUpIds.length > mostColumns ? (
        <Notice tone="note">Only the first {mostColumns} are shown; take one away to see another.</Notice>
      ) : null}
      {columns.length < 2 ? (
        <EmptyState title="Choose two mock-ups or more">
          <p>Events, durations and blowdown then stand side by side, and each difference says whether it is real.</p>
        </EmptyState>
      ) : (
        <>
          <TickField label="Hide rows without a real difference" isOn={hidesEqual} onChange={setHidesEqual} />
          <CompareTable columns={columns} hidesEqual={hidesEqual} />
          <Overlay columns={columns} />
        </>
      )}
    </div>
  );
}

interface CompareRow {
  readonly key: string;
  readonly title: string;
  readonly isAngle: boolean;
  readonly values: readonly (Value | null)[];
}

function rowsOf(columns: readonly Column[]): readonly CompareRow[] {
  const titles = new Map<string, { title: string; isAngle: boolean }>();
  for (const { result } of columns) {
    for (const row of result.events) titles.set(row.key, { title: row.title, isAngle: true });
    for (const row of result.figures) titles.set(row.key, { title: row.title, isAngle: false });
  }
  return [...titles].map(([key, { title, isAngle }]) => ({
    key,
    title,
    isAngle,
    values: columns.map(({ result }) =>
      isAngle
        ? (result.events.find((row) => row.key === key)?.crank ?? null)
        : (result.figures.find((row) => row.key === key)?.value ?? null),
    ),
  }));
}

function differenceOf(first: Value | null | undefined, other: Value | null) {
  if (first === null || first === undefined || other === null) return null;
  return compareValues({ valueA: first.value, valueB: other.value, uA: first.sigma, uB: other.sigma });
}

function CompareTable({ columns, hidesEqual }: { columns: readonly Column[]; hidesEqual: boolean }) {
  const rows = useMemo(() => rowsOf(columns), [columns]);
  const shown = rows.filter(
    (row) => !hidesEqual || row.values.some((value) => differenceOf(row.values[0], value)?.distinguishable === true),
  );
  return (
    <section className="panel table-scroll" aria-label="Side by side">
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Quantity, deg</th>
            {columns.map(({ whole }) => (
              <th key={whole.mockUp.id} scope="col" className="figure">
                {whole.mockUp.name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {shown.map((row) => (
            <tr key={row.key}>
              <th scope="row">{row.title}</th>
              {columns.map(({ whole }, index) => (
                <td key={whole.mockUp.id} className="figure">
                  <Cell row={row} index={index} />
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <p className="small muted">
        Diamond: the difference from the first is larger than its U (k = 2). Circle: it is not, so it may be chance.
      </p>
    </section>
  );
}

function Cell({ row, index }: { row: CompareRow; index: number }) {
  const value = row.values[index] ?? null;
  if (value === null) return <span className="muted">open</span>;
  const difference = index === 0 ? null : differenceOf(row.values[0], value);
  return (
    <>
      <span className="key-figure">{row.isAngle ? shownAngle(value.value) : value.value.toFixed(1)}</span>{' '}
      <span className="muted">± {(2 * value.sigma).toFixed(2)}</span>
      {difference === null ? null : (
        <div className="small">
          <VerdictMark kind={difference.distinguishable ? 'not_conforming' : 'cannot_be_decided'} />{' '}
          {difference.difference < 0 ? '−' : '+'}
          {Math.abs(difference.difference).toFixed(2)} {difference.distinguishable ? 'real' : 'not certain'}
        </div>
      )}
    </>
  );
}

/** The same port of all mock-ups, one below the other. */
function Overlay({ columns }: { columns: readonly Column[] }) {
  const rows = useMemo(() => {
    const drawn = columns.map(({ whole, result }) => ({
      whole,
      ports: whole.barrel.kind === 'barrel' ? diagramOf(result, whole.barrel.data.ports).ports : [],
    }));
    const portIds = [...new Set(drawn.flatMap(({ ports }) => ports.map((port) => port.portId)))];
    return portIds.flatMap((portId) =>
      drawn
        .flatMap(({ whole, ports }) => ports.filter((port) => port.portId === portId).map((port) => ({ whole, port })))
        .map(
          ({ whole, port }, index): BandRow => ({
            key: `${portId} ${whole.mockUp.id}`,
            title: `${port.label}, ${whole.barrel.name}`.slice(0, 24),
            port,
            isNewGroup: index === 0,
          }),
        ),
    );
  }, [columns]);
  return (
    <section className="panel" aria-label="Timing of all">
      <h2>Timing, one below the other</h2>
      <TimingBand rows={rows} title="Timing of the compared mock-ups" isInteractive />
    </section>
  );
}
