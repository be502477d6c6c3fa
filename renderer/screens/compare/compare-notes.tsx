import { useState } from 'react';
import type { ComparedMockUp } from '../../../core/mockup/compare.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { TextField } from '../../parts/fields.tsx';
import { keepMockUp } from '../../state/mock-up-edit-effects.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient } from '../../state/services.ts';
import { columnTitle } from './compare-words.ts';

/** A note to each of the compared; it stands with the mock-up and is found by the book's search. */
export function CompareNotes({ mockUps, onKept }: { mockUps: readonly ComparedMockUp[]; onKept: () => Promise<void> }) {
  return (
    <section className="panel stack" aria-label="Notes">
      <h2>Notes</h2>
      <div className="compare-notes">
        {mockUps.map((mockUp) => (
          <Note key={mockUp.whole.mockUp.id} mockUp={mockUp} onKept={onKept} />
        ))}
      </div>
    </section>
  );
}

function Note({ mockUp, onKept }: { mockUp: ComparedMockUp; onKept: () => Promise<void> }) {
  const client = useClient();
  const { id, notes } = mockUp.whole.mockUp;
  const [draft, setDraft] = useState(notes);
  const [problem, setProblem] = useState<string | null>(null);
  const keep = async () => {
    try {
      await keepMockUp(client, id, { notes: draft });
      await onKept();
      setProblem(null);
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  };
  return (
    <div className="stack">
      <TextField label={columnTitle(mockUp)} value={draft} isMultiline onChange={setDraft} />
      {problem === null ? null : <Notice tone="failure">{problem}</Notice>}
      <div className="row">
        <Button isDisabled={draft === notes} onPress={() => void keep()}>
          Keep the note
        </Button>
      </div>
    </div>
  );
}
