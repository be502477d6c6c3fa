import './sheets.css';
import { useCallback, useEffect, useMemo, useState } from 'react';
import type { OutputOf, Sheet } from '../../../core/contract/messages.ts';
import type { StoredPlan } from '../../../core/contract/plans.ts';
import type { CheckResults } from '../../../core/mockup/check-results.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient, useHost, useMockUpState, usePreferences } from '../../state/services.ts';
import { keepSheet } from '../../state/sheet-effects.ts';
import { useCheckResults } from '../../state/use-check-results.ts';
import { useMockUpResult } from '../../state/use-mock-up-result.ts';
import { useSizes } from '../../state/use-sizes.ts';
import { checksSheetData } from './checks-sheet-data.ts';
import { planSheetData } from './plan-sheet-data.ts';
import { portMapSheetData } from './port-map-sheet-data.ts';
import type { SheetData } from './sheet-data.ts';
import { useSheetFont } from './sheet-font.ts';
import { sheetHtml } from './sheet-html.tsx';
import { SheetPreview } from './sheet-preview.tsx';
import { SincePrinted } from './since-printed.tsx';
import { type SizedSheetInput, timingSheetData } from './timing-sheet-data.ts';

/** What will be printed, exactly; and what was printed before, identically. */
export function SheetsScreen() {
  const client = useClient();
  const { whole, failure } = useMockUpState();
  const [kept, setKept] = useState<readonly Sheet[]>([]);
  const [shown, setShown] = useState<OutputOf<'sheet.get'> | null>(null);
  const [wanted, setWanted] = useState<WantedSheet>({ kind: 'timing' });
  const [problem, setProblem] = useState<string | null>(null);
  const mockUpId = whole?.mockUp.id ?? null;
  const list = useCallback(async () => {
    if (mockUpId === null) return;
    try {
      setKept(await client.call('sheet.list', { mockUpId }));
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  }, [client, mockUpId]);
  useEffect(() => void list(), [list]);

  const open = async (sheet: Sheet) => {
    try {
      setShown(await client.call('sheet.get', { id: sheet.id }));
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  };
  if (whole === null) {
    return failure === null ? (
      <LoadingState what="Reading the mock-up" />
    ) : (
      <FailedState isScreen what="This mock-up can't be read" sentence={failure} />
    );
  }
  return (
    <div className="desk sheets">
      <div className="sheets-side">
        <h1>Sheets</h1>
        {problem === null ? null : <Notice tone="failure">{problem}</Notice>}
        <section className="panel stack" aria-label="Kept sheets">
          <h2>New, as of now</h2>
          {wantedSheets(whole.mockUp.plans).map(({ title, sheet }) => (
            <Button
              key={keyOf(sheet)}
              isPressed={shown === null && keyOf(wanted) === keyOf(sheet)}
              onPress={() => {
                setShown(null);
                setWanted(sheet);
              }}
            >
              {title}
            </Button>
          ))}
          <h2>Kept as printed</h2>
          {kept.length === 0 ? (
            <p className="muted small">Printing or saving keeps the sheet; it can then be printed again identically.</p>
          ) : (
            <ul className="sheets-list">
              {kept.map((sheet) => (
                <li key={sheet.id}>
                  <Button look="quiet" isPressed={shown?.sheet.id === sheet.id} onPress={() => void open(sheet)}>
                    {shownTime(sheet.createdAt)} {sheet.title}
                  </Button>
                </li>
              ))}
            </ul>
          )}
        </section>
      </div>
      {shown === null ? (
        <NewSheet key={keyOf(wanted)} wanted={wanted} onKept={list} />
      ) : (
        <KeptSheet key={shown.sheet.id} shown={shown} />
      )}
    </div>
  );
}

/** A sheet that can be drawn from the mock-up as it is now. */
type WantedSheet =
  | { readonly kind: 'timing' | 'port_map' | 'checks' }
  | { readonly kind: 'plan'; readonly planId: string };

function keyOf(sheet: WantedSheet): string {
  return sheet.kind === 'plan' ? sheet.planId : sheet.kind;
}

function wantedSheets(plans: readonly StoredPlan[]): readonly { title: string; sheet: WantedSheet }[] {
  return [
    { title: 'New timing sheet', sheet: { kind: 'timing' } },
    { title: 'New checks sheet', sheet: { kind: 'checks' } },
    { title: 'New port map', sheet: { kind: 'port_map' } },
    ...plans.map(({ planId, name }) => ({
      title: `New plan sheet: ${name}`,
      sheet: { kind: 'plan', planId } as const,
    })),
  ];
}

/** Data of the wanted sheet, or a sentence where it can't be drawn yet. */
function dataOf(wanted: WantedSheet, input: SizedSheetInput, checks: CheckResults): SheetData | string {
  switch (wanted.kind) {
    case 'checks':
      return checksSheetData(checks, input);
    case 'timing':
      return timingSheetData(input);
    case 'port_map':
      return (
        portMapSheetData(input) ??
        'No window has both its sizes and its height yet: enter the windows with the barrel, read their edges.'
      );
    case 'plan': {
      const plan = input.whole.mockUp.plans.find(({ planId }) => planId === wanted.planId);
      return plan === undefined ? 'This plan was taken off the list.' : planSheetData(plan, input);
    }
  }
}

/** A sheet as it was printed, and what it would say now. */
function KeptSheet({ shown }: { shown: OutputOf<'sheet.get'> }) {
  const { whole } = useMockUpState();
  const result = useMockUpResult();
  const found = useSizes();
  const checks = useCheckResults();
  const preferences = usePreferences();
  const { info } = useHost();
  const version = info?.version ?? '';
  const now = useMemo(() => {
    if (whole === null || result === null || found === null || checks === null) return null;
    const input = { whole, result, found, preferences, version, printedAt: shown.sheet.createdAt };
    return sameSheetNow(shown, input, checks.results);
  }, [whole, result, found, checks, preferences, version, shown]);
  return (
    <SheetPreview
      html={shown.html}
      note={`Kept on ${shownTime(shown.sheet.createdAt)}; drawn from what was stored then, not from today's readings.`}
      keep={() => Promise.resolve(shown.sheet)}
    >
      <SincePrinted shown={shown} now={now} version={version} />
    </SheetPreview>
  );
}

/** A kept sheet drawn anew; a plan is known again by the name that stands on it. */
function sameSheetNow(
  { sheet, snapshot }: OutputOf<'sheet.get'>,
  input: SizedSheetInput,
  checks: CheckResults,
): SheetData | string {
  const { kind } = sheet;
  if (kind === 'compare') return 'it holds several mock-ups: draw it again from Compare.';
  if (kind === 'timing' || kind === 'port_map' || kind === 'checks') return dataOf({ kind }, input, checks);
  const subtitle =
    typeof snapshot === 'object' && snapshot !== null && 'subtitle' in snapshot ? snapshot['subtitle'] : '';
  const plans = input.whole.mockUp.plans.map((plan) => planSheetData(plan, input));
  return (
    plans.find((plan) => typeof plan !== 'string' && plan.subtitle === subtitle) ??
    'its plan was taken off the list or renamed.'
  );
}

/** The sheet as it would be printed now. */
function NewSheet({ wanted, onKept }: { wanted: WantedSheet; onKept: () => Promise<void> }) {
  const client = useClient();
  const { whole } = useMockUpState();
  const result = useMockUpResult();
  const found = useSizes();
  const checks = useCheckResults();
  const preferences = usePreferences();
  const { info } = useHost();
  const font = useSheetFont();
  const [openedAt] = useState(() => new Date().toISOString());
  if (whole === null || found === null || checks === null || font === undefined) {
    return <LoadingState what="Drawing the sheet" />;
  }
  if (result === null || (result.hasNothing && wanted.kind !== 'checks')) {
    return (
      <EmptyState title="Nothing to print yet">
        <p>
          Stamp true TDC and at least one port edge at the bench, or type their wheel readings; the sheet then fills.
        </p>
      </EmptyState>
    );
  }
  const input = { whole, result, found, preferences, version: info?.version ?? '', printedAt: openedAt };
  const data = dataOf(wanted, input, checks.results);
  if (typeof data === 'string') {
    return (
      <EmptyState title="Not to be printed yet">
        <p>{data}</p>
      </EmptyState>
    );
  }
  const html = sheetHtml(data, font);
  return (
    <SheetPreview
      html={html}
      note="Exactly this is printed."
      keep={async () => {
        const sheet = await keepSheet(client, {
          mockUpId: whole.mockUp.id,
          kind: data.kind,
          title: data.kind === 'timing' ? data.subtitle : `${data.title}, ${data.subtitle}`,
          html,
          snapshot: data,
        });
        await onKept();
        return sheet;
      }}
    />
  );
}
