import { useEffect, useState } from 'react';
import { Button } from '../../parts/controls.tsx';

interface ControllerFieldProps {
  readonly label: string;
  /** Number of the button, from 0. */
  readonly value: number;
  readonly onChange: (button: number) => void;
}

const pollMs = 20;

/** A button of a game controller, learned by pressing it. */
export function ControllerField({ label, value, onChange }: ControllerFieldProps) {
  const [isLearning, setLearning] = useState(false);
  const [isThere, setThere] = useState(true);
  useEffect(() => {
    if (!isLearning) return;
    const timer = setInterval(() => {
      const pads = navigator.getGamepads().filter((pad) => pad !== null);
      setThere(pads.length > 0);
      const button = pads.flatMap((pad) => pad.buttons.findIndex(({ pressed }) => pressed)).find((at) => at >= 0);
      if (button === undefined) return;
      setLearning(false);
      onChange(button);
    }, pollMs);
    return () => clearInterval(timer);
  }, [isLearning, onChange]);
  return (
    <div className="field">
      <span className="key-field-label">{label}</span>
      <div className="row">
        <kbd className="key-field-value">Button {value + 1}</kbd>
        <Button isPressed={isLearning} name={`${label}: learn another`} onPress={() => setLearning(!isLearning)}>
          {isLearning ? 'Press the button now' : 'Learn another'}
        </Button>
      </div>
      {isLearning && !isThere ? (
        <p className="small muted" role="status">
          No game controller has shown itself yet: plug it in and press any of its buttons.
        </p>
      ) : null}
    </div>
  );
}
