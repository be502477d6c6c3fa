import { useState } from 'react';
import type { MockUp } from '../../../core/contract/parts.ts';
import { Notice } from '../../parts/controls.tsx';
import { TextField, TickField } from '../../parts/fields.tsx';
import { mostCompared } from '../../state/use-compared.ts';

interface CompareChoiceProps {
  readonly all: readonly MockUp[];
  readonly chosen: readonly string[];
  readonly onChange: (chosen: readonly string[]) => void;
}

/** From so many on the list gets a field to narrow it. */
const fewMockUps = 8;

/** Which mock-ups stand side by side; those chosen are always in the list, whatever it is narrowed to. */
export function CompareChoice({ all, chosen, onChange }: CompareChoiceProps) {
  const [query, setQuery] = useState('');
  const words = query
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== '');
  const shown = all.filter(
    ({ id, name }) => chosen.includes(id) || words.every((word) => name.toLowerCase().includes(word)),
  );
  const isFull = chosen.length >= mostCompared;
  return (
    <fieldset className="field-set compare-choice">
      <legend>Two to eight mock-ups; the others are held against the first</legend>
      {all.length > fewMockUps ? <TextField label="Narrow the list" value={query} onChange={setQuery} /> : null}
      <div className="row compare-ticks">
        {shown.map(({ id, name }) => (
          <TickField
            key={id}
            label={name}
            isOn={chosen.includes(id)}
            onChange={(isOn) => {
              if (!isOn) onChange(chosen.filter((one) => one !== id));
              else if (!isFull) onChange([...chosen, id]);
            }}
          />
        ))}
      </div>
      {isFull ? <Notice tone="note">Eight is the most: take one away to put another in its place.</Notice> : null}
    </fieldset>
  );
}
