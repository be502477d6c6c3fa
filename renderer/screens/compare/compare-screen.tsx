import '../../drawings/drawings.css';
import './compare.css';
import { useMemo, useState } from 'react';
import { type ComparedRow, comparedRows, isAlike, orderBy } from '../../../core/mockup/compare.ts';
import { Button } from '../../parts/controls.tsx';
import { TickField } from '../../parts/fields.tsx';
import { type Origin, OriginPanel } from '../../parts/origin-panel.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { navigate, useClient, useHost, usePreferences } from '../../state/services.ts';
import { keepSheet } from '../../state/sheet-effects.ts';
import { type Compared, useCompared } from '../../state/use-compared.ts';
import { useSheetFont } from '../sheets/sheet-font.ts';
import { sheetHtml } from '../sheets/sheet-html.tsx';
import { SheetPreview } from '../sheets/sheet-preview.tsx';
import { CompareChoice } from './compare-choice.tsx';
import { CompareNotes } from './compare-notes.tsx';
import { compareSheetData } from './compare-sheet-data.ts';
import { CompareTable } from './compare-table.tsx';
import { CompareTiming } from './compare-timing.tsx';
import { OwnLimitsPanel } from './own-limits-panel.tsx';
import { SetMatchPanel } from './set-match-panel.tsx';

const go = (mockUpIds: readonly string[]) => navigate({ screen: 'compare', mockUpIds });

/**
 * Mock-ups side by side: which differences are larger than their uncertainty. The address holds the columns in their
 * order, the reference first, so a reload or a link shows the same.
 */
export function CompareScreen({ mockUpIds }: { mockUpIds: readonly string[] }) {
  const compared = useCompared(mockUpIds);
  const { mockUps, all, failure } = compared;
  if (failure !== null) return <FailedState isScreen what="The mock-ups can't be read" sentence={failure} />;
  if (mockUps === null) return <LoadingState what="Reading the mock-ups" />;
  return (
    <div className="desk">
      <h1>Compare</h1>
      <CompareChoice all={all} chosen={mockUpIds.filter((id) => all.some((one) => one.id === id))} onChange={go} />
      {mockUps.length < 2 ? (
        <EmptyState title="Choose two mock-ups or more">
          <p>
            Events, durations, areas, squish, volumes and clearances then stand side by side, and each difference says
            whether it is real.
          </p>
        </EmptyState>
      ) : (
        <SideBySide compared={{ ...compared, mockUps }} />
      )}
    </div>
  );
}

type Chosen = Compared & { readonly mockUps: NonNullable<Compared['mockUps']> };

function SideBySide({ compared }: { compared: Chosen }) {
  const { mockUps, all, reload } = compared;
  const [hidesEqual, setHidesEqual] = useState(false);
  const [showsPlaces, setShowsPlaces] = useState(false);
  const [sortedBy, setSortedBy] = useState<{ key: string; direction: 'rising' | 'falling' } | null>(null);
  const [origin, setOrigin] = useState<Origin | null>(null);
  const [isPrinting, setPrinting] = useState(false);
  const rows = useMemo(() => comparedRows(mockUps), [mockUps]);
  const shown = useMemo(
    () => rows.filter((row) => (showsPlaces || !row.isPlace) && !(hidesEqual && isAlike(row))),
    [rows, showsPlaces, hidesEqual],
  );
  const ids = mockUps.map(({ whole }) => whole.mockUp.id);
  const idAt = (index: number) => ids[index] ?? '';
  const sort = (row: ComparedRow) => {
    const direction = sortedBy?.key === row.key && sortedBy.direction === 'rising' ? 'falling' : 'rising';
    setSortedBy({ key: row.key, direction });
    // The reference keeps its place: what the others are held against must not change by ordering them.
    go([
      idAt(0),
      ...orderBy(row, direction)
        .filter((index) => index !== 0)
        .map(idAt),
    ]);
  };
  const makeReference = (index: number) => {
    setSortedBy(null);
    go([idAt(index), ...ids.filter((_, at) => at !== index)]);
  };
  if (isPrinting) return <Printed mockUps={mockUps} rows={shown} onDone={() => setPrinting(false)} />;
  return (
    <>
      <div className="row">
        <TickField label="Hide rows without a real difference" isOn={hidesEqual} onChange={setHidesEqual} />
        <TickField label="Each place that was read" isOn={showsPlaces} onChange={setShowsPlaces} />
        <Button onPress={() => setPrinting(true)}>Print side by side</Button>
        <span className="small muted" role="status">
          {shown.length} of {rows.length} rows
        </span>
      </div>
      {shown.length === 0 ? (
        <EmptyState title={rows.length === 0 ? 'Nothing is measured yet' : 'No row differs for certain'}>
          <p>
            {rows.length === 0
              ? 'None of the chosen mock-ups has a reading yet.'
              : 'Every difference is smaller than its uncertainty. More readings make the uncertainty smaller.'}
          </p>
        </EmptyState>
      ) : (
        <CompareTable
          mockUps={mockUps}
          rows={shown}
          sortedBy={sortedBy}
          onSort={sort}
          onReference={makeReference}
          onOrigin={setOrigin}
        />
      )}
      <SetMatchPanel mockUps={mockUps} rows={rows} />
      <CompareTiming mockUps={mockUps} />
      <CompareNotes mockUps={mockUps} onKept={reload} />
      <OwnLimitsPanel mockUps={mockUps} rows={rows} all={all} onKept={reload} />
      {origin === null ? null : <OriginPanel origin={origin} onClose={() => setOrigin(null)} />}
    </>
  );
}

interface PrintedProps {
  readonly mockUps: Chosen['mockUps'];
  readonly rows: readonly ComparedRow[];
  readonly onDone: () => void;
}

/** The rows as shown, on paper; kept with the reference's sheets. */
function Printed({ mockUps, rows, onDone }: PrintedProps) {
  const client = useClient();
  const preferences = usePreferences();
  const { info } = useHost();
  const font = useSheetFont();
  const [openedAt] = useState(() => new Date().toISOString());
  const reference = mockUps[0]?.whole.mockUp;
  if (font === undefined || reference === undefined) return <LoadingState what="Drawing the sheet" />;
  const data = compareSheetData({ mockUps, rows, preferences, version: info?.version ?? '', printedAt: openedAt });
  const html = sheetHtml(data, font);
  return (
    <div className="stack">
      <div className="row">
        <Button onPress={onDone}>Back to the table</Button>
      </div>
      <SheetPreview
        html={html}
        note={`Exactly this is printed; it is kept with the sheets of ${reference.name}.`}
        keep={() =>
          keepSheet(client, {
            mockUpId: reference.id,
            kind: data.kind,
            title: `${data.title}, ${data.subtitle}`,
            html,
            snapshot: data,
          })
        }
      />
    </div>
  );
}
