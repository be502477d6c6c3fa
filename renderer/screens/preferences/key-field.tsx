import { useEffect, useState } from 'react';
import { Button } from '../../parts/controls.tsx';
import { keyTitle } from '../../parts/keyboard.ts';
import type { PreferenceKey } from '../../state/preference-list.ts';

interface KeyFieldProps {
  readonly name: PreferenceKey;
  readonly label: string;
  readonly value: string;
  readonly onChange: (code: string) => void;
}

/** A key, learned by pressing it; a pedal that presents itself as a keyboard is learned the same way. */
export function KeyField({ name, label, value, onChange }: KeyFieldProps) {
  const [isLearning, setLearning] = useState(false);
  useEffect(() => {
    if (!isLearning) return;
    const onKey = (event: KeyboardEvent) => {
      event.preventDefault();
      event.stopImmediatePropagation();
      setLearning(false);
      // Escape is the way back everywhere and can't be given away.
      if (event.code !== 'Escape' && event.code !== '') onChange(event.code);
    };
    window.addEventListener('keydown', onKey, { capture: true });
    return () => window.removeEventListener('keydown', onKey, { capture: true });
  }, [isLearning, onChange]);
  return (
    <div className="field" id={`preference-${name}`}>
      <span className="key-field-label">{label}</span>
      <div className="row">
        <kbd className="key-field-value">{keyTitle(value)}</kbd>
        <Button isPressed={isLearning} name={`${label}: learn another key`} onPress={() => setLearning(!isLearning)}>
          {isLearning ? 'Press the key or pedal now' : 'Learn another'}
        </Button>
      </div>
    </div>
  );
}
