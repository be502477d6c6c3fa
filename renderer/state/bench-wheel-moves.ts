import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { Stamp } from '../../core/mockup/stamps.ts';
import type { PendingSignal, RunState, RunStore, TakenBack, WheelMove } from './bench-run.ts';
import type { Sight } from './bench-sight-effects.ts';
import type { TypedSetups } from './bench-typed-setups.ts';

interface MoveTools {
  readonly sight: Sight;
  readonly store: RunStore;
  readonly typedSetups: TypedSetups;
  whole(): MockUpWhole | null;
}

/** The places of the wheel that "Wheel moved" begins, and counts as one with the earlier ones when it is undone. */
export interface WheelMoves {
  begin(doubtedIds: readonly string[], stamps: readonly Stamp[]): void;
  /** What was read since counts on from before after all. */
  undo(move: WheelMove): void;
  redo(move: WheelMove): void;
}

export function createWheelMoves({ sight, store, typedSetups, whole }: MoveTools): WheelMoves {
  const change = (part: Partial<RunState>): void => store.setState(part);

  function join(move: WheelMove, isJoined: boolean): void {
    const known = whole();
    if (move.camera !== null) sight.joinPlace(move.camera, isJoined, known?.setups ?? []);
    if (known !== null) typedSetups.joinPlaces(known, move.typed, isJoined);
  }

  return {
    begin(doubtedIds, stamps) {
      const known = whole();
      const { pending, moves, takenBack, chosen, skipped } = store.getState();
      const { setup } = sight.store.getState();
      const move: WheelMove = {
        doubtedIds,
        knownIds: new Set([...stamps.map(({ root }) => root.id), ...pending.map(({ stampId }) => stampId)]),
        camera: sight.beginAnew(),
        typed: known === null ? [] : typedSetups.beginAnew(known),
        chosen,
        skipped,
      };
      change({
        moves: [...moves, move],
        takenBack: stampsOnly(takenBack),
        // What is still being read was seen where the wheel sat until now.
        pending: pending.map((one): PendingSignal => ({ ...one, seenWith: one.seenWith ?? setup })),
        chosen: null,
        skipped: new Set(),
      });
    },
    undo(move) {
      join(move, true);
      const { moves, takenBack } = store.getState();
      change({
        moves: moves.filter((one) => one !== move),
        takenBack: [...takenBack, { kind: 'wheel_moved', move }],
        chosen: move.chosen,
        skipped: move.skipped,
      });
    },
    redo(move) {
      join(move, false);
      change({ moves: [...store.getState().moves, move], chosen: null, skipped: new Set() });
    },
  };
}

/** Whether the move is what was done last: no stamp that stands was taken since. */
export function isLatest(move: WheelMove, last: Stamp | null): boolean {
  return last === null || move.knownIds.has(last.root.id);
}

/** Once something was stamped since, a move that was undone can't be given back: the new stamp was taken without it. */
export function stampsOnly(takenBack: readonly TakenBack[]): readonly TakenBack[] {
  return takenBack.filter(({ kind }) => kind === 'stamp');
}
