import { useState } from 'react';
import type { TypedAngle, WheelReadingSetup, WheelScaleKind } from '../../../core/contract/readings.ts';
import { Button } from '../../parts/controls.tsx';
import type { BenchWanted } from '../../state/bench-run.ts';
import { scaleTitles } from './scale-titles.ts';
import { typedAngle } from './typed-angle.ts';

interface TypedReadingProps {
  readonly wanted: BenchWanted;
  readonly sentence: string;
  readonly before: WheelReadingSetup | null;
  readonly onTyped: (angle: Omit<TypedAngle, 'by' | 'setupId'>, wanted: BenchWanted) => void;
}

/** What the pointer shows, typed: which scale, which way it grows, and on scales that run both ways which side of the zero. */
export function TypedReading({ wanted, sentence, before, onTyped }: TypedReadingProps) {
  const [scale, setScale] = useState<WheelScaleKind>(before?.scale ?? '0-360');
  const [growsForwards, setGrowsForwards] = useState(before?.growsForwards ?? true);
  const [side, setSide] = useState<'after' | 'before'>('after');
  const [zero, setZero] = useState<'first' | 'second'>('first');
  const [text, setText] = useState('');
  const [resolution, setResolution] = useState('0.5');
  const [failure, setFailure] = useState<string | null>(null);
  const isTwoWay = scale === '0-180-0' || scale === '0-90-0-90';

  function take(): void {
    const outcome = typedAngle({
      text,
      resolutionText: resolution,
      reading: { scale, growsForwards },
      side: isTwoWay ? side : null,
      zero: scale === '0-90-0-90' ? zero : null,
    });
    if (!outcome.ok) {
      setFailure(outcome.sentence);
      return;
    }
    setFailure(null);
    setText('');
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
          <input value={text} inputMode="decimal" onChange={(event) => setText(event.target.value)} />
        </label>
        <label className="field">
          Read to, degrees
          <input value={resolution} inputMode="decimal" onChange={(event) => setResolution(event.target.value)} />
        </label>
        <Button look="main" onPress={take}>
          Keep this reading
        </Button>
      </div>
      {failure === null ? null : <p role="alert">{failure}</p>}
    </form>
  );
}
