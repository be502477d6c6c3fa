import type { TimingDiagramData } from '../../drawings/timing-data.ts';
import type { VerdictKind } from '../../parts/verdict.tsx';

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

/**
 * Everything on a timing sheet, as text. It is kept with the sheet, so that what was printed can be compared with what
 * a later version of the program makes of the same readings.
 */
export interface TimingSheetData {
  readonly kind: 'timing';
  readonly paper: 'A4' | 'Letter';
  readonly title: string;
  readonly subtitle: string;
  readonly job: readonly SheetFact[];
  readonly diagram: TimingDiagramData;
  readonly events: readonly SheetEvent[];
  readonly results: readonly SheetResult[];
  readonly engine: readonly SheetFact[];
  readonly mockUp: readonly SheetFact[];
  readonly method: readonly string[];
  readonly cautions: readonly string[];
  readonly footer: string;
}

/** Sizes of paper in millimetres. */
export const paperSizes = { A4: { widthMm: 210, heightMm: 297 }, Letter: { widthMm: 215.9, heightMm: 279.4 } } as const;

/** Cautions that stand on every timing sheet. */
export const sheetCautions: readonly string[] = [
  'Readings hold for the parts, gaskets and torque named here; after any change measure again.',
  "Final settings follow the maker's manual, the rules that apply to the engine, and a qualified engine builder.",
  'Squish, ignition and clearances are not judged by port timing: check them before the engine is run.',
];
