import { Button, Notice } from '../../parts/controls.tsx';
import { carryOn } from '../../state/bench-kept-setup.ts';
import type { SightState } from '../../state/bench-sight.ts';
import type { Sight } from '../../state/bench-sight-effects.ts';

/** The reference of the earlier set-up can be had back while the crank still stands where it was read last. */
export function CarryOnQuestion({
  sight,
  state,
  stampedSetups,
}: {
  sight: Sight;
  state: SightState;
  /** Set-ups by which something was stamped. */
  stampedSetups: ReadonlySet<string>;
}) {
  const earlier = state.earlier.find(({ setupId }) => stampedSetups.has(setupId));
  if (earlier === undefined || state.setup === null) return null;
  const offer = carryOn(earlier);
  const apart = 'The stamps of the earlier set-up keep their own TDC. Stamp both stop contacts again for this one.';
  if (offer.kind !== 'ask') {
    const why =
      offer.kind === 'turned'
        ? `The crank was turned by about ${Math.abs(offer.byDeg).toFixed(0)} degrees since it was read last.`
        : 'Where the crank stood was not read with the earlier set-up.';
    return (
      <Notice
        tone="note"
        title="New reference"
        action={<Button onPress={() => sight.carryOn(earlier, null)}>Understood</Button>}
      >
        {why} {apart}
      </Notice>
    );
  }
  return (
    <fieldset className="field-set" aria-label="Carry the readings on" data-testid="carry-on">
      <Notice tone="note" title="Carry on?">
        The crank was last read at {offer.atDeg.toFixed(2)} degrees from the earlier reference
        {offer.isSeen ? ', and the face stands as it did then' : ''}. Was it left untouched since?
      </Notice>
      <div className="row">
        <Button look="main" onPress={() => sight.carryOn(earlier, offer.atDeg)}>
          Yes, carry the readings on
        </Button>
        <Button onPress={() => sight.carryOn(earlier, null)}>No, find TDC again</Button>
      </div>
      <p className="muted small">If it was turned: {apart}</p>
    </fieldset>
  );
}
