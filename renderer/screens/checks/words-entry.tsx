import { useState } from 'react';
import type { PlaceReadings } from '../../../core/mockup/check-readings.ts';
import type { StepQuantity } from '../../../core/mockup/step-shape.ts';
import { TextField } from '../../parts/fields.tsx';
import { noted } from '../../state/check-session.ts';
import { useCheckSession } from '../../state/use-check-results.ts';
import { KeptList } from './reading-chips.tsx';

/** Something to be written down: marks, grade letters. */
export function WordsEntry({ quantity, places }: { quantity: StepQuantity; places: readonly PlaceReadings[] }) {
  const session = useCheckSession();
  const [text, setText] = useState('');
  return (
    <section className="checks-quantity" aria-label={quantity.title}>
      <form
        className="stack"
        onSubmit={(event) => {
          event.preventDefault();
          const words = text.trim();
          if (words === '') return;
          session.keep(quantity.title, noted(quantity.id, '', words, words));
          setText('');
        }}
      >
        <TextField
          label={quantity.title}
          hint="Of engine, case, barrel, piston and head, as they stand there"
          isMultiline
          value={text}
          onChange={setText}
        />
        <div className="row">
          <button type="submit" className="button button-plain" disabled={text.trim() === ''}>
            Keep the marks
          </button>
        </div>
      </form>
      {places.map((place) => (
        <KeptList key={place.position.id} place={place} />
      ))}
    </section>
  );
}
