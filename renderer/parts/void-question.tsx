import { type VoidedReadings, voidedInWords } from '../../core/mockup/void-plan.ts';
import type { RecordQuestion } from '../state/void-question.ts';
import { Confirm } from './controls.tsx';

/** The same words wherever it is asked. */
export const voidQuestionWords = {
  title: 'Was the part changed, or was only its entry wrong?',
  changed: 'The part itself changed: mark them void',
  corrected: 'This was a correction: they stay valid',
} as const;

interface VoidQuestionDialogProps {
  readonly question: RecordQuestion;
  readonly onAnswer: (what: 'corrected' | 'changed') => void;
  readonly onCancel: () => void;
}

/** The question as a dialog, where a single press would change a part. */
export function VoidQuestionDialog({ question, onAnswer, onCancel }: VoidQuestionDialogProps) {
  return (
    <Confirm
      question={voidQuestionWords.title}
      consequence={`Different: ${question.note}. Not kept until this is answered.`}
      confirmWord={voidQuestionWords.changed}
      onConfirm={() => onAnswer('changed')}
      other={{ word: voidQuestionWords.corrected, onPress: () => onAnswer('corrected') }}
      onCancel={onCancel}
    >
      <VoidedList voids={question.voids} />
    </Confirm>
  );
}

interface VoidedListProps {
  readonly voids: readonly {
    readonly mockUpId: string;
    readonly mockUpName: string;
    readonly plan: readonly VoidedReadings[];
  }[];
}

/** What would fall, mock-up by mock-up. */
export function VoidedList({ voids }: VoidedListProps) {
  return (
    <>
      <p>If the part itself was changed, these readings become void. They are kept and marked, not removed.</p>
      <ul className="plain-list">
        {voids.map(({ mockUpId, mockUpName, plan }) => (
          <li key={mockUpId}>
            <b>{mockUpName}</b>: {voidedInWords(plan)}
          </li>
        ))}
      </ul>
    </>
  );
}
