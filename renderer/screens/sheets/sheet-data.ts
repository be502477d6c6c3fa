import type { AreaChartData } from '../../drawings/area-chart.tsx';
import type { PortMapData } from '../../drawings/port-map.tsx';
import type { StackState } from '../../drawings/stack-drawing.tsx';
import type { TimingDiagramData } from '../../drawings/timing-data.ts';
import type { VerdictKind } from '../../parts/verdict.tsx';
import type { Preferences } from '../../state/preference-list.ts';

/** A line of the table of events, in the words of the page. */
export interface SheetEvent {
  readonly event: string;
  readonly forwards: string;
  readonly backwards: string;
  readonly difference: string;
  readonly result: string;
  readonly expanded: string;
  readonly readings: number;
}

/** A derived figure with its limits. */
export interface SheetResult {
  readonly quantity: string;
  readonly value: string;
  readonly expanded: string;
  readonly limits: string;
  readonly verdict: VerdictKind;
}

export interface SheetFact {
  readonly name: string;
  readonly value: string;
}

/** What stands on every sheet. */
export interface SheetHead {
  readonly paper: 'A4' | 'Letter';
  readonly title: string;
  readonly subtitle: string;
  readonly job: readonly SheetFact[];
  readonly cautions: readonly string[];
  readonly footer: string;
}

/**
 * Everything on a timing sheet, as text. It is kept with the sheet, so that what was printed can be compared with what
 * a later version of the program makes of the same readings.
 */
export interface TimingSheetData extends SheetHead {
  readonly kind: 'timing';
  readonly diagram: TimingDiagramData;
  readonly events: readonly SheetEvent[];
  readonly results: readonly SheetResult[];
  readonly engine: readonly SheetFact[];
  readonly mockUp: readonly SheetFact[];
  readonly method: readonly string[];
}

/** Units and decimal mark in which drawings of a sheet are lettered. */
export type SheetUnits = Pick<Preferences, 'lengthUnit' | 'decimalMark'>;

/** A table of a sheet: names of its columns, then its rows, all as text. */
export interface SheetTable {
  readonly title: string;
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

/** The port map on paper, full size where the paper is wide enough. */
export interface PortMapSheetData extends SheetHead {
  readonly kind: 'port_map';
  readonly map: PortMapData;
  readonly units: SheetUnits;
  readonly mapWidthMm: number;
  readonly scale: string;
  readonly chart: AreaChartData;
  readonly tables: readonly SheetTable[];
  readonly remarks: readonly string[];
}

/** One line of a plan's before and after. */
export interface PlanSheetRow {
  readonly figure: string;
  readonly before: string;
  readonly after: string;
  readonly difference: string;
  readonly limits: string;
  readonly verdictBefore: VerdictKind;
  readonly verdictAfter: VerdictKind;
  /** "better", "worse", "as before", or empty where nothing judges it. */
  readonly trend: string;
}

/** What is planned, on two pages: what it does, then how it is cut. */
export interface PlanSheetData extends SheetHead {
  readonly kind: 'plan';
  readonly rows: readonly PlanSheetRow[];
  readonly tally: string;
  readonly stack: { readonly now: StackState; readonly planned: StackState };
  readonly units: SheetUnits;
  readonly work: readonly { readonly text: string; readonly cautions: readonly string[] }[];
  readonly readAgain: string;
  readonly notes: string;
  readonly remarks: readonly string[];
}

/** One result of the checks, in the words of the page. */
export interface ChecksSheetRow {
  readonly quantity: string;
  /** As they were typed, those that count. */
  readonly readings: string;
  readonly value: string;
  readonly expanded: string;
  readonly limits: string;
  readonly verdict: VerdictKind;
}

export interface ChecksSheetStep {
  readonly title: string;
  readonly state: string;
  readonly notes: readonly string[];
  readonly rows: readonly ChecksSheetRow[];
}

/** The checks on paper, on as many pages as they need. */
export interface ChecksSheetData extends SheetHead {
  readonly kind: 'checks';
  readonly pages: readonly (readonly ChecksSheetStep[])[];
  readonly method: readonly string[];
}

/** One mock-up's figure on a compare sheet. */
export interface CompareSheetCell {
  readonly value: string;
  /** Against the reference: "+4.00 real"; empty for the reference itself. */
  readonly difference: string;
  readonly verdict: VerdictKind;
}

export interface CompareSheetRow {
  readonly quantity: string;
  /** True where the row is the title of a group. */
  readonly isGroup: boolean;
  readonly cells: readonly CompareSheetCell[];
}

/** Mock-ups side by side on paper, the reference first, on as many pages as they need. */
export interface CompareSheetData extends SheetHead {
  readonly kind: 'compare';
  readonly columns: readonly string[];
  readonly pages: readonly (readonly CompareSheetRow[])[];
  readonly method: readonly string[];
}

export type SheetData = TimingSheetData | PortMapSheetData | PlanSheetData | ChecksSheetData | CompareSheetData;

/** Sizes of paper in millimetres. */
export const paperSizes = { A4: { widthMm: 210, heightMm: 297 }, Letter: { widthMm: 215.9, heightMm: 279.4 } } as const;

/** Cautions that stand on every timing sheet. */
export const sheetCautions: readonly string[] = [
  'Readings hold for the parts, gaskets and torque named here; after any change measure again.',
  "Final settings follow the maker's manual, the rules that apply to the engine, and a qualified engine builder.",
  'Squish, ignition and clearances are not judged by port timing: check them before the engine is run.',
];
