import './parts-screen.css';
import { useState } from 'react';
import type { PartKind } from '../../../core/contract/parts.ts';
import { BookBar } from '../../parts/book-bar.tsx';
import { Button, Notice } from '../../parts/controls.tsx';
import { PartForm } from '../../parts/forms/part-form.tsx';
import { partKindTitle } from '../../parts/part-words.ts';
import type { FieldProblem } from '../../state/build-draft.ts';
import { contentOfDraft, emptyPart, type PartDraft, partProblem } from '../../state/part-draft.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { navigate, useClient } from '../../state/services.ts';
import { useWords } from '../../state/words.ts';

/** A part that no mock-up has yet. */
export function NewPartScreen({ kind }: { kind: PartKind }) {
  const client = useClient();
  const words = useWords();
  const [draft, setDraft] = useState<PartDraft>(() => emptyPart(kind));
  const [problem, setProblem] = useState<FieldProblem | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const [isStoring, setStoring] = useState(false);
  const title = partKindTitle(kind, words).toLowerCase();
  const store = async () => {
    const first = partProblem(draft);
    setProblem(first);
    if (first !== null) return;
    setStoring(true);
    setFailure(null);
    try {
      const { id } = await client.call('part.create', contentOfDraft(draft, null));
      navigate({ screen: 'part', partId: id });
    } catch (error) {
      setFailure(sentenceOf(error));
      setStoring(false);
    }
  };
  return (
    <div className="desk">
      <BookBar place="parts" />
      <h1>New {title}</h1>
      <section className="panel stack" aria-label={`New ${title}`}>
        <PartForm part={draft} problem={problem} isFirst onChange={setDraft} />
        {failure === null ? null : (
          <Notice tone="failure" title={`The ${title} was not stored.`}>
            {failure}
          </Notice>
        )}
        {problem === null ? null : <Notice tone="caution">{problem.sentence}</Notice>}
        <div className="row">
          <Button look="main" isDisabled={isStoring} onPress={() => void store()}>
            Put it into the book
          </Button>
          <Button onPress={() => navigate({ screen: 'parts' })} keyHint="Esc">
            Back without it
          </Button>
        </div>
      </section>
    </div>
  );
}
