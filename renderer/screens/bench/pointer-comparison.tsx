import { useState } from 'react';
import type { WheelSetupContent } from '../../../core/contract/readings.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { comparePointer, type PointerComparison, scaleAtReference, scaleShown } from '../../state/wheel-scale-shown.ts';
import { emptyScaleNumber, ScaleNumberFields } from '../set-up/scale-number-fields.tsx';
import { typedScaleNumber } from './typed-angle.ts';

/** Compares what the pointer shows with what the wheel should show there, at any time, and says what a difference means. */
export function PointerComparisonForm({
  content,
  rotationDeg,
  isSteady,
  onCheckTdc,
  onPointerMoved,
}: {
  content: WheelSetupContent | null;
  rotationDeg: number | null;
  isSteady: boolean;
  onCheckTdc: () => void;
  /** The pointer was moved: this is what the scale stood at under it at the reference. */
  onPointerMoved: (shownAtReferenceDeg: number) => void;
}) {
  const [isOpen, setIsOpen] = useState(false);
  const [number, setNumber] = useState(emptyScaleNumber);
  const [failure, setFailure] = useState<string | null>(null);
  const [outcome, setOutcome] = useState<(PointerComparison & { readonly atReferenceDeg: number }) | null>(null);
  if (content === null || content.wheelReading === null || content.shownAtReferenceDeg === null) return null;
  const { wheelReading, forwards } = content;

  function open(next: boolean): void {
    setIsOpen(next);
    setOutcome(null);
    setFailure(null);
  }

  function compare(): void {
    const shown = content === null ? null : scaleShown(content, rotationDeg);
    if (content === null || shown === null || rotationDeg === null || forwards === null || !isSteady) {
      setFailure('Hold the wheel still where it is read, then enter what the pointer shows there.');
      return;
    }
    const typed = typedScaleNumber(number, wheelReading);
    if (!typed.ok) {
      setFailure(typed.sentence);
      return;
    }
    setFailure(null);
    setNumber(emptyScaleNumber);
    const { wheelReadingDeg } = typed.angle;
    setOutcome({
      ...comparePointer(content, shown, wheelReadingDeg),
      atReferenceDeg: scaleAtReference(wheelReadingDeg, rotationDeg, forwards),
    });
  }

  return (
    <div className="stack" data-testid="pointer-comparison">
      <div className="row">
        <Button isPressed={isOpen} onPress={() => open(!isOpen)}>
          Compare the pointer
        </Button>
      </div>
      {isOpen ? (
        <form
          className="row"
          aria-label="Compare the pointer"
          onSubmit={(event) => {
            event.preventDefault();
            compare();
          }}
        >
          <ScaleNumberFields scale={wheelReading.scale} value={number} onChange={setNumber} />
          <Button onPress={compare}>Compare</Button>
        </form>
      ) : null}
      {failure === null ? null : <p role="alert">{failure}</p>}
      {outcome === null ? null : (
        <Notice
          tone={outcome.agrees ? 'note' : 'failure'}
          title={outcome.agrees ? 'Pointer agrees' : 'Pointer differs'}
        >
          {outcome.sentences.map((one) => (
            <p key={one}>{one}</p>
          ))}
          {outcome.agrees ? null : (
            <div className="row">
              <Button
                onPress={() => {
                  onCheckTdc();
                  open(false);
                }}
              >
                Check TDC by the stop
              </Button>
              <Button
                onPress={() => {
                  onPointerMoved(outcome.atReferenceDeg);
                  open(false);
                }}
              >
                The pointer was moved: take this number
              </Button>
            </div>
          )}
        </Notice>
      )}
    </div>
  );
}
