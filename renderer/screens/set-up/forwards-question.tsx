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
      {moved === null ? (
        <p>Turn the crank a little; it is asked then which way that was. Or say it now:</p>
      ) : (
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
      <div className="row">
        <Button onPress={() => onAnswer('clockwise')}>Forwards is clockwise</Button>
        <Button onPress={() => onAnswer('anticlockwise')}>Forwards is anticlockwise</Button>
      </div>
    </fieldset>
  );
}
