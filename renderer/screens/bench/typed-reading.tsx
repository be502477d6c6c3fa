import { useRef, useState } from 'react';
import type { TypedAngle, WheelReadingSetup, WheelScaleKind } from '../../../core/contract/readings.ts';
import type { BenchWanted } from '../../state/bench-run.ts';
import { instrumentsFor, stepOfInstrument } from '../../state/instruments.ts';
import { useInstruments } from '../../state/use-check-results.ts';
import { scaleTitles } from './scale-titles.ts';
import { typedAngle, wheelSentence, wheelSigmaDeg } from './typed-angle.ts';

interface TypedReadingProps {
  readonly wanted: BenchWanted;
  readonly sentence: string;
  readonly before: WheelReadingSetup | null;
  /** Of the typed reading before this one; null where there was none. */
  readonly instrumentBefore: string | null;
  readonly onTyped: (angle: Omit<TypedAngle, 'by' | 'setupId'>, wanted: BenchWanted) => void;
}

/** What the pointer shows, typed: which scale, which way it grows, and on scales that run both ways which side of the zero. */
export function TypedReading({ wanted, sentence, before, instrumentBefore, onTyped }: TypedReadingProps) {
  const wheels = instrumentsFor(useInstruments(), ['degree_wheel'], 'deg');
  const [scale, setScale] = useState<WheelScaleKind>(before?.scale ?? '0-360');
  const [growsForwards, setGrowsForwards] = useState(before?.growsForwards ?? true);
  const [side, setSide] = useState<'after' | 'before'>('after');
  const [zero, setZero] = useState<'first' | 'second'>('first');
  const [text, setText] = useState('');
  const [typedStep, setTypedStep] = useState('0.5');
  const [chosenWheel, setChosenWheel] = useState<string | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const field = useRef<HTMLInputElement>(null);
  const wheel = wheels.find(({ id }) => id === (chosenWheel ?? instrumentBefore)) ?? null;
  const resolution = wheel === null ? typedStep : String(stepOfInstrument(wheel));
  const isTwoWay = scale === '0-180-0' || scale === '0-90-0-90';

  function take(): void {
    const outcome = typedAngle({
      text,
      resolutionText: resolution,
      reading: { scale, growsForwards },
      side: isTwoWay ? side : null,
      zero: scale === '0-90-0-90' ? zero : null,
      wheel: wheel === null ? null : { id: wheel.id, sigmaDeg: wheelSigmaDeg(wheel) },
    });
    if (!outcome.ok) {
      setFailure(outcome.sentence);
      return;
    }
    setFailure(null);
    setText('');
    // The next reading is typed at once, however this one was kept.
    field.current?.focus();
    onTyped(outcome.angle, wanted);
  }

  return (
    <form
      className="typed-reading panel"
      aria-label="Type a wheel reading"
      onSubmit={(event) => {
        event.preventDefault();
        take();
      }}
    >
      <p>{sentence}: what does the pointer show?</p>
      <div className="row">
        <label className="field">
          Scale
          <select value={scale} onChange={(event) => setScale(event.target.value as WheelScaleKind)}>
            {Object.entries(scaleTitles).map(([kind, title]) => (
              <option key={kind} value={kind}>
                {title}
              </option>
            ))}
          </select>
        </label>
        <label className="field">
          Turning forwards its numbers
          <select
            value={growsForwards ? 'grow' : 'fall'}
            onChange={(event) => setGrowsForwards(event.target.value === 'grow')}
          >
            <option value="grow">grow (two-way scales: just past the zero)</option>
            <option value="fall">fall</option>
          </select>
        </label>
        {isTwoWay ? (
          <label className="field">
            Side of the zero
            <select value={side} onChange={(event) => setSide(event.target.value as 'after' | 'before')}>
              <option value="after">after it, turning forwards</option>
              <option value="before">before it</option>
            </select>
          </label>
        ) : null}
        {scale === '0-90-0-90' ? (
          <label className="field">
            Counted from
            <select value={zero} onChange={(event) => setZero(event.target.value as 'first' | 'second')}>
              <option value="first">the zero first met</option>
              <option value="second">the zero half a turn on</option>
            </select>
          </label>
        ) : null}
        <label className="field">
          Wheel reading, degrees
          <input ref={field} value={text} inputMode="decimal" onChange={(event) => setText(event.target.value)} />
        </label>
        {wheels.length === 0 ? null : (
          <label className="field">
            Wheel
            <select value={wheel?.id ?? ''} onChange={(event) => setChosenWheel(event.target.value)}>
              <option value="">not from the list</option>
              {wheels.map(({ id, name }) => (
                <option key={id} value={id}>
                  {name}
                </option>
              ))}
            </select>
          </label>
        )}
        <label className="field">
          Read to, degrees
          <input
            value={resolution}
            inputMode="decimal"
            disabled={wheel !== null}
            onChange={(event) => setTypedStep(event.target.value)}
          />
        </label>
        <button type="submit" className="button button-main">
          Keep this reading
        </button>
      </div>
      {wheel === null ? null : <p className="small muted">{wheelSentence(wheel)}</p>}
      {failure === null ? null : <p role="alert">{failure}</p>}
    </form>
  );
}
