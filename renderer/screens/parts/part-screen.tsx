import './parts-screen.css';
import { useCallback, useEffect, useState } from 'react';
import { useStore } from 'zustand';
import type { Client } from '../../../core/contract/client.ts';
import type { MockUp, Part } from '../../../core/contract/parts.ts';
import { BookBar } from '../../parts/book-bar.tsx';
import { LinkButton, Notice } from '../../parts/controls.tsx';
import { EditingBar } from '../../parts/editing-bar.tsx';
import { PartForm } from '../../parts/forms/part-form.tsx';
import { PartQuestions } from '../../parts/part-question.tsx';
import { partKindTitle } from '../../parts/part-words.ts';
import { FailedState, LoadingState } from '../../parts/states.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { changed, createEditor } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import { contentOfDraft, draftOfPart, type PartDraft, partProblem } from '../../state/part-draft.ts';
import { createPartKeeper } from '../../state/part-keeper.ts';
import { withUses } from '../../state/part-list.ts';
import { formatRoute } from '../../state/route.ts';
import { useClient } from '../../state/services.ts';
import { useWords } from '../../state/words.ts';

interface PartWithUses {
  readonly part: Part;
  readonly usedIn: readonly MockUp[];
}

/** One part: everything it says about itself, editable, and where it is used. */
export function PartScreen({ partId }: { partId: string }) {
  const ask = useCallback(
    async (client: Client): Promise<PartWithUses> => {
      const [part, mockUps] = await Promise.all([
        client.call('part.get', { id: partId }),
        client.call('mockUp.list', {}),
      ]);
      return { part, usedIn: withUses([part], mockUps)[0]?.usedIn ?? [] };
    },
    [partId],
  );
  const { value, failure, reload } = useLoaded(ask);
  return (
    <div className="desk">
      <BookBar place="parts" />
      {value === null ? (
        failure === null ? (
          <LoadingState what="Reading the part" />
        ) : (
          <FailedState isScreen what="This part can't be read" sentence={failure} onRetry={reload} />
        )
      ) : (
        <PartEditor part={value.part} usedIn={value.usedIn} />
      )}
    </div>
  );
}

function PartEditor({ part, usedIn }: PartWithUses) {
  const client = useClient();
  const words = useWords();
  // Begins with what was stored when the screen was opened; later answers are its own changes.
  const [editor] = useState(() => createEditor<PartDraft>(draftOfPart(part)));
  const [keeper] = useState(() =>
    createPartKeeper(client, { partId: part.id, first: editor.getState().value, contentOf: contentOfDraft }),
  );
  const { value } = useStore(editor);
  const problem = partProblem(value);
  useEffect(() => keepChanges(editor, keeper.keep, (draft) => partProblem(draft)?.sentence ?? null), [editor, keeper]);
  return (
    <>
      <div className="row spread">
        <h1>{part.name}</h1>
        <EditingBar editor={editor} takesKeys />
      </div>
      <PartQuestions editor={editor} keeper={keeper} />
      <div className="part-columns">
        <section className="panel stack" aria-label={partKindTitle(part.kind, words)}>
          <h2>{partKindTitle(part.kind, words)}</h2>
          {problem === null ? null : (
            <Notice tone="caution" title="Not kept yet.">
              {problem.sentence}
            </Notice>
          )}
          <PartForm
            part={value}
            problem={problem}
            onChange={(draft) => editor.setState(changed(editor.getState(), draft))}
          />
        </section>
        <div className="stack">
          <Uses usedIn={usedIn} />
          <LinkButton to={{ screen: 'history', of: 'record', id: part.id }}>History of this part</LinkButton>
        </div>
      </div>
    </>
  );
}

function Uses({ usedIn }: { usedIn: readonly MockUp[] }) {
  return (
    <section className="panel stack" aria-label="Used in">
      <h2>Used in</h2>
      {usedIn.length === 0 ? (
        <p className="muted">No mock-up uses it yet. A mock-up takes it up under "As assembled".</p>
      ) : (
        <>
          <p className="muted small">
            A change counts in every one of them. Where readings hang on it, you are asked first whether they become
            void.
          </p>
          <ul className="plain-list">
            {usedIn.map((mockUp) => (
              <li key={mockUp.id}>
                <a href={formatRoute({ screen: 'mock-up', mockUpId: mockUp.id, place: 'overview' })}>{mockUp.name}</a>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
