import type { StoreApi } from 'zustand';
import { useStore } from 'zustand';
import { partChangesInWords } from '../../core/mockup/part-changes.ts';
import { changed, type EditorState } from '../state/editor.ts';
import type { PartKeeper } from '../state/part-keeper.ts';
import { Button, Notice } from './controls.tsx';
import { VoidedList, voidQuestionWords } from './void-question.tsx';

interface PartQuestionsProps<Draft> {
  readonly editor: StoreApi<EditorState<Draft>>;
  readonly keeper: PartKeeper<Draft>;
}

/** A figure that readings hang on is different: nothing is kept until it is said whether the part is. */
export function PartQuestions<Draft extends object>({ editor, keeper }: PartQuestionsProps<Draft>) {
  const { value } = useStore(editor);
  const { question, voidedIn } = useStore(keeper.store);
  /** A fresh copy wakes the watch that keeps changes. */
  const keepAs = (what: 'corrected' | 'changed') => {
    const copy = { ...value };
    keeper.answer(copy, what);
    editor.setState({ ...editor.getState(), value: copy, phase: 'changed' });
  };
  return (
    <>
      {question?.draft === value ? (
        <section className="panel stack" aria-label="Was the part changed?">
          <Notice tone="caution" title={voidQuestionWords.title}>
            {`Different: ${partChangesInWords(question.voids.flatMap((one) => one.changes))}. Not kept until this is answered.`}
          </Notice>
          <VoidedList voids={question.voids} />
          <div className="row">
            <Button look="main" onPress={() => keepAs('changed')}>
              {voidQuestionWords.changed}
            </Button>
            <Button onPress={() => keepAs('corrected')}>{voidQuestionWords.corrected}</Button>
            <Button look="quiet" onPress={() => editor.setState(changed(editor.getState(), keeper.lastKept()))}>
              Put it back
            </Button>
          </div>
        </section>
      ) : null}
      {voidedIn.length === 0 ? null : (
        <Notice tone="note" title="Readings are marked void.">
          {`In ${voidedIn.join(', ')}: read them again. Undo takes the change and its marks back.`}
        </Notice>
      )}
    </>
  );
}
