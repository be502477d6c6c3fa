import { Button } from '../../parts/controls.tsx';
import { answeredForwards, type SightState } from '../../state/bench-sight.ts';

/** Asks once which way is forwards, by what the crank has just done. */
export function ForwardsQuestion({
  state,
  onAnswer,
}: {
  state: SightState;
  onAnswer: (way: 'clockwise' | 'anticlockwise') => void;
}) {
  const forwards = state.setup?.content.forwards ?? null;
  if (state.setup === null) return <p className="muted">Comes after the wheel.</p>;
  if (forwards !== null) {
    return (
      <p>
        Forwards is <strong>{forwards}</strong> in the picture.{' '}
        <Button look="quiet" onPress={() => onAnswer(forwards === 'clockwise' ? 'anticlockwise' : 'clockwise')}>
          Change to {forwards === 'clockwise' ? 'anticlockwise' : 'clockwise'}
        </Button>
      </p>
    );
  }
  const moved = state.movedWay;
  return (
    <fieldset className="field-set stack" aria-label="Which way is forwards">
      <p>Say which way is forwards in the picture, or turn the crank a little and be asked:</p>
      <div className="row">
        <Button onPress={() => onAnswer('clockwise')}>Forwards is clockwise</Button>
        <Button onPress={() => onAnswer('anticlockwise')}>Forwards is anticlockwise</Button>
      </div>
      {/* Below, since it comes while the crank is turned: nothing that is about to be pressed gives way to it. */}
      {moved === null ? null : (
        <>
          <p>The wheel turned {moved} in the picture: was that forwards?</p>
          <div className="row">
            <Button look="main" onPress={() => onAnswer(answeredForwards(moved, true))}>
              Yes, forwards
            </Button>
            <Button look="main" onPress={() => onAnswer(answeredForwards(moved, false))}>
              No, backwards
            </Button>
          </div>
        </>
      )}
    </fieldset>
  );
}
