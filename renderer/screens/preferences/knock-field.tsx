import { useEffect, useRef, useState } from 'react';
import { knocksToLearn, levelFrom } from '../../microphone/knock-detector.ts';
import { listenForKnocks, type MicrophoneState, microphoneSentence } from '../../microphone/microphone.ts';
import { Button } from '../../parts/controls.tsx';
import { NumberField } from '../../parts/number-field.tsx';

interface KnockFieldProps {
  readonly label: string;
  /** Level that a knock must reach, 0.01..1 of full scale. */
  readonly value: number;
  readonly onChange: (level: number) => void;
}

/** Everything louder than this is listened to while learning. */
const learningLevel = 0.01;

/** The level of a knock, learned by knocking three times. */
export function KnockField({ label, value, onChange }: KnockFieldProps) {
  const [isLearning, setLearning] = useState(false);
  const [heard, setHeard] = useState(0);
  const [microphone, setMicrophone] = useState<MicrophoneState>({ kind: 'off' });
  const take = useRef(onChange);
  take.current = onChange;
  useEffect(() => {
    if (!isLearning) return;
    const levels: number[] = [];
    setHeard(0);
    const media = (navigator as { mediaDevices?: MediaDevices }).mediaDevices ?? null;
    return listenForKnocks(media, learningLevel, {
      state: setMicrophone,
      knock(_atMs, level) {
        levels.push(level);
        setHeard(levels.length);
        if (levels.length < knocksToLearn) return;
        take.current(levelFrom(levels));
        setLearning(false);
      },
    });
  }, [isLearning]);
  return (
    <div>
      <NumberField
        label={label}
        kind="plain"
        value={value}
        unit=""
        isRequired
        lower={0.01}
        upper={1}
        onChange={(next) => {
          if (next !== null) onChange(next);
        }}
      />
      <Button isPressed={isLearning} onPress={() => setLearning(!isLearning)}>
        {isLearning ? `Knock now: ${heard} of ${knocksToLearn} heard` : 'Learn by knocking three times'}
      </Button>
      {isLearning ? (
        <p className="small muted" role="status">
          {microphoneSentence(microphone)}
        </p>
      ) : null}
    </div>
  );
}
