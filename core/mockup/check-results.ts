/** From a mock-up's stored readings to how far its steps are, and to every result that hand instruments give. */
import type { MockUpWhole } from '../contract/messages.ts';
import type { Port } from '../contract/parts.ts';
import type { BudgetDefaults } from '../uncertainty/event-budget.ts';
import { type CheckInstrument, CheckReadings, type PlaceReadings } from './check-readings.ts';
import type { CheckContext, CheckRow } from './check-rows.ts';
import { partRows } from './check-rows-parts.ts';
import { stackRows } from './check-rows-stack.ts';
import { measuredSizes } from './check-sizes.ts';
import type { MeasuredSizes } from './measured-sizes.ts';
import { edgesForwards, edgeTitle, stampKey, wantedKey } from './run-order.ts';
import { isUsable, joinStamps, type Stamp } from './stamps.ts';
import type { Step, StepId, StepQuantity } from './step-shape.ts';
import { placeTitle, skippedQuantity, steps } from './steps.ts';
import { specificationsOf, type TimingResult, timingResult } from './timing-result.ts';

/**
 * How a step stands. `out_of_limits`: a result of it doesn't conform. `void`/`doubtful`: it was read, but what was read
 * doesn't count any more. A skipped step stays skipped until it is taken up again.
 */
export type StepState = 'open' | 'done' | 'skipped' | 'void' | 'doubtful' | 'out_of_limits';

export interface StepResult {
  readonly step: Step;
  readonly state: StepState;
  /** Places or edges that the step wants, and how many of them are read. */
  readonly wanted: number;
  readonly read: number;
  /** Names of what is wanted and not read yet. */
  readonly missing: readonly string[];
  /** Why it was skipped, or why its readings are void or in doubt; empty otherwise. */
  readonly reason: string;
  /** The stamp that keeps the skip; striking it takes the step up again. */
  readonly skip: Stamp | null;
  readonly rows: readonly CheckRow[];
  /** Sentences that need the builder's attention and are answered at this step. */
  readonly questions: readonly string[];
  /** What was read at this step by hand instruments, place by place. */
  readonly places: readonly PlaceReadings[];
}

export interface CheckResults {
  readonly steps: readonly StepResult[];
  /** All rows in the order of the steps; find one by its key. */
  readonly rows: readonly CheckRow[];
  /** The first step that still wants something; null where all are done or skipped. */
  readonly next: StepResult | null;
  /** Sentences that need the builder's attention. */
  readonly questions: readonly string[];
  /** Sizes for planner, areas and ratios. */
  readonly sizes: MeasuredSizes;
  readonly timing: TimingResult;
}

export interface CheckOptions {
  /** Instruments of the list: their calibration goes into the uncertainty. */
  readonly instruments?: readonly CheckInstrument[];
  readonly defaults?: BudgetDefaults;
  /** The timing of the same mock-up, where it is at hand already. */
  readonly timing?: TimingResult;
}

/**
 * Evaluates all checks of a mock-up.
 * @throws InputError where the engine's stored sizes can't be (they are refused when entered)
 */
export function checkResults(whole: MockUpWhole, options: CheckOptions = {}): CheckResults {
  const timing = options.timing ?? timingResult(whole, options.defaults);
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const stamps = joinStamps(whole.readings, whole.marks);
  const asked = new Map<string, StepId>();
  const context: CheckContext = {
    whole,
    timing,
    readings: new CheckReadings(stamps, ports, options.instruments ?? []),
    specifications: specificationsOf(whole),
    ask: (stepId, sentence) => asked.set(sentence, stepId),
  };
  const rows = inOrderOfSteps([...partRows(context), ...stackRows(context)]);
  const sizes = measuredSizes({ ...context, ask: () => undefined });
  const found = steps.map((step) => ({
    ...stepResult(step, context, rows, stamps, ports),
    questions: [...asked].filter(([, stepId]) => stepId === step.id).map(([sentence]) => sentence),
  }));
  return {
    steps: found,
    rows,
    next: found.find(({ state }) => state === 'open' || state === 'void' || state === 'doubtful') ?? null,
    questions: [...asked.keys()],
    sizes,
    timing,
  };
}

function inOrderOfSteps(rows: readonly CheckRow[]): CheckRow[] {
  return steps.flatMap(({ id }) => rows.filter(({ stepId }) => stepId === id));
}

const turnings = ['forwards', 'backwards'] as const;

/** One thing that a step wants, and whether it is there. */
interface Want {
  readonly title: string;
  readonly isRead: boolean;
  /** Stamps that answered it and don't count any more. */
  readonly voided: readonly Stamp[];
  readonly doubted: readonly Stamp[];
}

function stepResult(
  step: Step,
  context: CheckContext,
  allRows: readonly CheckRow[],
  stamps: readonly Stamp[],
  ports: readonly Port[],
): Omit<StepResult, 'questions'> {
  const rows = allRows.filter(({ stepId }) => stepId === step.id);
  const wants = wantsOf(step, context, rows, stamps, ports);
  const missing = wants.filter(({ isRead }) => !isRead);
  const skip = stamps.findLast(
    ({ current: { subject }, struck }) =>
      subject.what === 'quantity' && subject.quantity === skippedQuantity && subject.position === step.id && !struck,
  );
  const voided = missing.flatMap((want) => want.voided);
  const doubted = missing.flatMap((want) => want.doubted);
  const state = stateOf({ step, context, rows, missing, voided, doubted, isSkipped: skip !== undefined });
  return {
    step,
    state,
    wanted: wants.length,
    read: wants.length - missing.length,
    missing: missing.map(({ title }) => title),
    reason:
      state === 'skipped'
        ? (skip?.current.note ?? '')
        : state === 'void'
          ? (voided.at(-1)?.reason ?? '')
          : state === 'doubtful'
            ? (doubted.at(-1)?.reason ?? '')
            : '',
    skip: skip ?? null,
    rows,
    places: step.quantities.flatMap(({ id }) => context.readings.places(id)),
  };
}

function stateOf(found: {
  step: Step;
  context: CheckContext;
  rows: readonly CheckRow[];
  missing: readonly Want[];
  voided: readonly Stamp[];
  doubted: readonly Stamp[];
  isSkipped: boolean;
}): StepState {
  if (found.isSkipped) return 'skipped';
  const { timing } = found.context;
  const judgements = [
    ...found.rows,
    ...(found.step.id === 'port_events' ? [...timing.events, ...timing.figures] : []),
  ].map(({ judged }) => judged.verdict);
  if (judgements.includes('not_conforming')) return 'out_of_limits';
  if (found.missing.length === 0) return 'done';
  if (found.voided.length > 0) return 'void';
  return found.doubted.length > 0 ? 'doubtful' : 'open';
}

function wantsOf(
  step: Step,
  context: CheckContext,
  rows: readonly CheckRow[],
  stamps: readonly Stamp[],
  ports: readonly Port[],
): readonly Want[] {
  switch (step.id) {
    case 'true_tdc':
      return turnings.map((turning) =>
        angleWant(`stop from the side met turning ${turning}`, wantedKey({ what: 'stop_contact', turning }), stamps),
      );
    case 'port_events':
      return turnings.flatMap((turning) =>
        edgesForwards(ports).map(({ portId, edge }) => {
          const port = ports.find((one) => one.portId === portId);
          const title = port === undefined ? edge : edgeTitle(port, edge);
          const key = wantedKey({ what: 'port_edge', turning, portId, edge });
          return angleWant(`${title}, turning ${turning}`, key, stamps);
        }),
      );
    case 'clearance': {
      // Follows from bore and piston; the feeler alone is a cross-check of one spot.
      const row = rows.find(({ key }) => key === 'piston_clearance');
      return [want('bore and piston', row?.value !== null && row !== undefined, row?.stamps ?? [])];
    }
    default:
      return quantityWants(step, context);
  }
}

function quantityWants(step: Step, context: CheckContext): readonly Want[] {
  const wants = step.quantities.filter(({ need }) => need !== 'none').map((one) => ofQuantity(one, context));
  if (!step.isOneEnough) return wants.flat();
  return (
    wants.find((list) => list.every(({ isRead }) => isRead)) ??
    wants.find((list) => list.some(isTouched)) ??
    wants[0] ??
    []
  );
}

const isTouched = ({ isRead, voided, doubted }: Want): boolean => isRead || voided.length > 0 || doubted.length > 0;

function ofQuantity(quantity: StepQuantity, context: CheckContext): readonly Want[] {
  const places = context.readings.places(quantity.id);
  // The temperature may stand with the mock-up since before there was a reading of it.
  const isEntered = quantity.id === 'room_temperature' && context.whole.mockUp.roomTemperatureC !== null;
  if (quantity.need === 'any') {
    const all = places.flatMap(({ stamps }) => stamps);
    return [
      want(
        quantity.title,
        places.some(({ isRead }) => isRead),
        all,
      ),
    ];
  }
  return places.map((place) => want(placeTitle(quantity, place.position), place.isRead || isEntered, place.stamps));
}

function want(title: string, isRead: boolean, stamps: readonly Stamp[]): Want {
  const standing = stamps.filter(({ struck }) => !struck);
  return {
    title,
    isRead,
    voided: standing.filter(({ isVoid }) => isVoid),
    doubted: standing.filter(({ doubtful }) => doubtful),
  };
}

function angleWant(title: string, key: string, stamps: readonly Stamp[]): Want {
  const own = stamps.filter((stamp) => stampKey(stamp) === key);
  return want(title, own.some(isUsable), own);
}
