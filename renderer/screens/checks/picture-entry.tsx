import { useId, useState } from 'react';
import type { PlaceReadings } from '../../../core/mockup/check-readings.ts';
import type { StepQuantity } from '../../../core/mockup/step-shape.ts';
import { Notice } from '../../parts/controls.tsx';
import { noted } from '../../state/check-session.ts';
import { photographFrom } from '../../state/photograph.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useCheckSession } from '../../state/use-check-results.ts';
import { KeptList } from './reading-chips.tsx';

/** Photographs of the parts, kept in the book. */
export function PictureEntry({ quantity, places }: { quantity: StepQuantity; places: readonly PlaceReadings[] }) {
  const session = useCheckSession();
  const id = useId();
  const [failures, setFailures] = useState<readonly string[]>([]);
  const keep = async (files: readonly File[]) => {
    setFailures([]);
    for (const file of files) {
      try {
        session.keep(file.name, noted(quantity.id, '', file.name), await photographFrom(file));
      } catch (error) {
        const sentence = `${file.name}: ${sentenceOf(error)}`;
        setFailures((before) => [...before, sentence]);
      }
    }
  };
  return (
    <section className="checks-quantity" aria-label={quantity.title}>
      <div className="field">
        <label htmlFor={id}>{quantity.title}s of the parts as they came</label>
        <input
          id={id}
          type="file"
          accept="image/jpeg,image/png,image/webp"
          multiple
          onChange={(event) => {
            const files = [...(event.target.files ?? [])];
            event.target.value = '';
            void keep(files);
          }}
        />
        <p className="field-hint">Kept in the book, made smaller where they are large</p>
      </div>
      {failures.map((failure) => (
        <Notice key={failure} tone="failure">
          {failure}
        </Notice>
      ))}
      {places.map((place) => (
        <KeptList key={place.position.id} place={place} />
      ))}
    </section>
  );
}
