import type { RimEllipse } from '../../../core/wheel/types.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import type { SightState } from '../../state/bench-sight.ts';
import type { Sight } from '../../state/bench-sight-effects.ts';
import { pointerText } from '../../state/pointer-words.ts';
import type { Place } from './rim-shape.ts';

/** Straight up on the rim: where the mark begins before it is dragged to the pointer. */
export function topOfRim({ centrePx, fullAxesPx, angleDeg }: RimEllipse): Place {
  const angle = ((-90 - angleDeg) * Math.PI) / 180;
  const [a, b] = [fullAxesPx[0] / 2, fullAxesPx[1] / 2];
  const radius = (a * b) / Math.hypot(b * Math.cos(angle), a * Math.sin(angle));
  return [centrePx[0], centrePx[1] - radius];
}

/** Marks the pointer once, so that it is noticed when it moves. */
export function PointerMark({
  sight,
  state,
  placing,
  onPlace,
}: {
  sight: Sight;
  state: SightState;
  /** Where the mark is held while it is being placed; null while it isn't. */
  placing: Place | null;
  onPlace: (at: Place | null) => void;
}) {
  const { setup } = state;
  if (setup === null || state.camera.kind !== 'running') return null;
  const { pointerPx } = setup.info;
  const { sentence, isTrouble } = pointerText(state.pointer);
  return (
    <div className="stack" data-testid="pointer-mark">
      {placing !== null ? (
        <p role="status">
          Drag the mark to where the pointer crosses the rim, or move it with the arrow keys and press Enter.
        </p>
      ) : pointerPx === null ? (
        <p className="muted">
          Mark the pointer, and it is noticed when it moves: the camera reads the wheel, not the pointer.
        </p>
      ) : isTrouble ? (
        <Notice tone="failure" title="Pointer">
          {sentence}
        </Notice>
      ) : (
        <p role="status">{sentence}</p>
      )}
      {state.isPointerRefused && placing === null ? (
        <Notice tone="note">
          Nothing stands out there that could be known again. Mark the place where the pointer crosses the rim, in full
          view, or paint the pointer in a tone that differs from what is behind it.
        </Notice>
      ) : null}
      <div className="row">
        {placing === null ? (
          <Button onPress={() => onPlace(pointerPx ?? topOfRim(setup.info.rim))}>
            {pointerPx === null ? 'Mark the pointer' : 'Mark the pointer again'}
          </Button>
        ) : (
          <Button onPress={() => onPlace(null)}>Leave the pointer as it is</Button>
        )}
        {pointerPx === null || placing !== null ? null : (
          <Button onPress={() => sight.markPointer(null)}>Watch it no more</Button>
        )}
      </div>
    </div>
  );
}
