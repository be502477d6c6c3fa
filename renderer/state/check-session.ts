import { v7 as uuidv7 } from 'uuid';
import { createStore, type StoreApi } from 'zustand/vanilla';
import type { Client } from '../../core/contract/client.ts';
import type { PictureContent } from '../../core/contract/messages.ts';
import type { MarkKind, ReadingContent, Subject } from '../../core/contract/readings.ts';
import type { Stamp } from '../../core/mockup/stamps.ts';
import type { StepId } from '../../core/mockup/step-shape.ts';
import { changeQuantity, skippedQuantity } from '../../core/mockup/steps.ts';
import type { VoidedReadings } from '../../core/mockup/void-plan.ts';
import type { MockUpChangeKind } from '../../core/planner/void-table.ts';
import { type LocalRows, localReading, withoutTold } from './local-rows.ts';
import { createMarkKeeper } from './mark-keeper.ts';
import type { MockUpStore } from './mock-up-store.ts';
import { createOutbox, type Outbox } from './outbox.ts';

/** One thing that was done here, with what takes it back and what does it again. */
export interface CheckAct {
  readonly title: string;
  readonly steps: readonly ActStep[];
}

type ActStep =
  | {
      readonly kind: 'mark';
      readonly readingIds: readonly string[];
      readonly on: MarkKind;
      readonly off: MarkKind;
      readonly reason: string;
    }
  | { readonly kind: 'replace'; readonly readingId: string; readonly before: Subject; readonly after: Subject };

export interface CheckState extends LocalRows {
  readonly past: readonly CheckAct[];
  readonly future: readonly CheckAct[];
  /** Who measures now; stands on every reading. */
  readonly measuredBy: string;
}

export interface TypedQuantity {
  readonly quantity: string;
  readonly position: string;
  readonly value: number;
  readonly unit: string;
  readonly typedText: string;
  readonly resolution: number | null;
  readonly instrumentId: string | null;
  /** Both readings of a scale whose difference the value is. */
  readonly fromTo?: { readonly start: number; readonly end: number } | null;
  readonly note?: string;
}

/** Keeps readings of hand instruments for one mock-up, with undo and redo; nothing kept is ever changed or removed. */
export interface CheckSession {
  readonly store: StoreApi<CheckState>;
  readonly outbox: Outbox;
  keep(title: string, typed: TypedQuantity, picture?: PictureContent): void;
  /** A reading that replaces another: the old one stays in its history. */
  correct(stamp: Stamp, typed: TypedQuantity, reason: string): void;
  strike(stamp: Stamp, reason: string): void;
  /** Lets a struck, void or doubtful reading count again. */
  restore(stamp: Stamp): void;
  skip(stepId: StepId, title: string, reason: string): void;
  takeUp(skip: Stamp): void;
  /** Keeps that something on the assembly was changed and marks what that voids. */
  recordChange(kind: MockUpChangeKind, title: string, note: string, plan: readonly VoidedReadings[]): void;
  undo(): void;
  redo(): void;
  setMeasuredBy(name: string): void;
}

interface SessionTools {
  readonly client: Client;
  readonly mockUp: MockUpStore;
  readonly outbox?: Outbox;
  readonly now?: () => Date;
}

/** Text as the contract keeps it; what is longer stands in the note. */
const typedTextLength = 60;
const reasonLength = 300;

export function createCheckSession({
  client,
  mockUp,
  outbox = createOutbox(),
  now = () => new Date(),
}: SessionTools): CheckSession {
  const store = createStore<CheckState>(() => ({
    localReadings: [],
    localMarks: [],
    past: [],
    future: [],
    measuredBy: mockUp.getState().whole?.build.measuredBy ?? '',
  }));
  mockUp.subscribe(({ whole }, before) => {
    if (whole === null) return;
    if (before.whole === null && store.getState().measuredBy === '')
      store.setState({ measuredBy: whole.build.measuredBy });
    store.setState(withoutTold(store.getState(), whole));
  });

  const did = (act: CheckAct): void => store.setState({ past: [...store.getState().past, act], future: [] });

  function add(title: string, subject: Subject, more: Partial<ReadingContent> = {}, picture?: PictureContent): string {
    const content: ReadingContent = {
      id: uuidv7(),
      mockUpId: mockUp.getState().mockUpId,
      benchRunId: null,
      subject,
      signal: 'typed',
      takenAt: now().toISOString(),
      measuredBy: store.getState().measuredBy,
      pictureId: picture?.id ?? null,
      secondPictureId: null,
      supersedesId: null,
      supersedesReason: '',
      note: '',
      ...more,
    };
    store.setState({ localReadings: [...store.getState().localReadings, localReading(content)] });
    outbox.put(title, async () => {
      await client.call('reading.add', { reading: content, pictures: picture === undefined ? [] : [picture] });
    });
    return content.id;
  }

  const { mark } = createMarkKeeper({
    client,
    outbox,
    whole: () => mockUp.getState().whole,
    localMarks: () => store.getState().localMarks,
    setLocalMarks: (localMarks) => store.setState({ localMarks }),
    now,
  });

  function replay(act: CheckAct, direction: 'undo' | 'redo'): void {
    const isUndo = direction === 'undo';
    for (const step of isUndo ? act.steps.toReversed() : act.steps) {
      if (step.kind === 'mark') {
        const reason = isUndo ? `Taken back: ${act.title}` : step.reason;
        mark(step.readingIds, isUndo ? step.off : step.on, reason.slice(0, reasonLength));
      } else {
        add(act.title, isUndo ? step.before : step.after, {
          supersedesId: step.readingId,
          supersedesReason: isUndo ? 'correction taken back' : 'correction made again',
        });
      }
    }
  }

  const added = (readingId: string): ActStep => ({
    kind: 'mark',
    readingIds: [readingId],
    on: 'restored',
    off: 'struck',
    reason: 'made again',
  });

  return {
    store,
    outbox,
    keep(title, typed, picture) {
      const { note = '' } = typed;
      did({ title, steps: [added(add(title, subjectOf(typed), { note }, picture))] });
    },
    correct(stamp, typed, reason) {
      const { subject } = stamp.current;
      const after = subjectOf(typed);
      const title = 'a correction';
      add(title, after, {
        supersedesId: stamp.current.id,
        supersedesReason: reason.slice(0, reasonLength),
        note: typed.note ?? '',
        pictureId: stamp.current.pictureId,
      });
      did({ title, steps: [{ kind: 'replace', readingId: stamp.root.id, before: subject, after }] });
    },
    strike(stamp, reason) {
      mark([stamp.root.id], 'struck', reason);
      did({
        title: 'striking a reading',
        steps: [{ kind: 'mark', readingIds: [stamp.root.id], on: 'struck', off: 'restored', reason }],
      });
    },
    restore(stamp) {
      const pairs = [
        stamp.struck ? (['restored', 'struck'] as const) : null,
        stamp.isVoid ? (['valid', 'void'] as const) : null,
        stamp.doubtful ? (['trusted', 'doubtful'] as const) : null,
      ].flatMap((pair) => (pair === null ? [] : [pair]));
      const steps = pairs.map(
        ([on, off]): ActStep => ({ kind: 'mark', readingIds: [stamp.root.id], on, off, reason: 'taken back into use' }),
      );
      for (const [on] of pairs) mark([stamp.root.id], on, 'taken back into use');
      did({ title: 'taking a reading back into use', steps });
    },
    skip(stepId, title, reason) {
      const subject = subjectOf(noted(skippedQuantity, stepId, 'skipped'));
      did({ title: `skipping ${title}`, steps: [added(add(`Skipping ${title}`, subject, { note: reason }))] });
    },
    takeUp(skip) {
      const reason = 'taken up again';
      mark([skip.root.id], 'struck', reason);
      did({
        title: 'taking up a step',
        steps: [{ kind: 'mark', readingIds: [skip.root.id], on: 'struck', off: 'restored', reason }],
      });
    },
    recordChange(kind, title, note, plan) {
      const id = add(title, subjectOf(noted(changeQuantity, kind, title)), { note });
      for (const { readingIds, reason } of plan) mark(readingIds, 'void', reason);
      did({
        title,
        steps: [
          added(id),
          ...plan.map(
            ({ readingIds, reason }): ActStep => ({ kind: 'mark', readingIds, on: 'void', off: 'valid', reason }),
          ),
        ],
      });
    },
    undo() {
      const { past, future } = store.getState();
      const act = past.at(-1);
      if (act === undefined) return;
      store.setState({ past: past.slice(0, -1), future: [act, ...future] });
      replay(act, 'undo');
    },
    redo() {
      const { past, future } = store.getState();
      const [act, ...rest] = future;
      if (act === undefined) return;
      store.setState({ past: [...past, act], future: rest });
      replay(act, 'redo');
    },
    setMeasuredBy: (measuredBy) => store.setState({ measuredBy }),
  };
}

function subjectOf(typed: TypedQuantity): Subject {
  const { quantity, position, value, unit, typedText, resolution, instrumentId, fromTo = null } = typed;
  return {
    what: 'quantity',
    quantity,
    position,
    value,
    unit,
    typedText: typedText.slice(0, typedTextLength),
    resolution,
    instrumentId,
    fromTo,
  };
}

/** What is kept in words: its number says only that it is there. */
export function noted(quantity: string, position: string, text: string, note = ''): TypedQuantity {
  return { quantity, position, value: 1, unit: '', typedText: text, resolution: null, instrumentId: null, note };
}

const sessions = new WeakMap<MockUpStore, CheckSession>();

/** The session of a mock-up; the same one for all its places, so that undo reaches across them. */
export function checkSession(client: Client, mockUp: MockUpStore): CheckSession {
  const known = sessions.get(mockUp);
  if (known !== undefined) return known;
  const made = createCheckSession({ client, mockUp });
  sessions.set(mockUp, made);
  return made;
}
