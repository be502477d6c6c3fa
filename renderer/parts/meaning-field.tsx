import type { QuotedMeaning } from '../../core/ports/quoted-meanings.ts';
import { ChoiceField } from './fields.tsx';

interface MeaningFieldProps {
  readonly label: string;
  /** What the number may count; the field is there only where that is more than one thing. */
  readonly meanings: readonly QuotedMeaning[];
  /** "ATDC", "deg of duration". */
  readonly reference: string;
  readonly chosen: string | null;
  readonly onChoose: (id: string | null) => void;
}

/** Asks what a bare number counts, each answer with the angle that it comes to. */
export function MeaningField({ label, meanings, reference, chosen, onChoose }: MeaningFieldProps) {
  if (meanings.length < 2) return null;
  return (
    <ChoiceField
      label={label}
      value={chosen ?? ''}
      choices={[
        { value: '', title: 'Could mean several angles: choose' },
        ...meanings.map(({ id, title, quotedDeg }) => ({
          value: id,
          title: `${title}: ${Number(quotedDeg.toFixed(2))} ${reference}`,
        })),
      ]}
      onChange={(id) => onChoose(id === '' ? null : id)}
    />
  );
}
