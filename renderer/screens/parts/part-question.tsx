import { partChangesInWords } from '../../../core/mockup/part-changes.ts';
import { voidedInWords } from '../../../core/mockup/void-plan.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import type { PartQuestion } from '../../state/part-keeper.ts';

interface PartQuestionPanelProps {
  readonly question: PartQuestion;
  /** The part is another one now: keep the entry and mark what doesn't hold any more. */
  readonly onChanged: () => void;
  /** Only the entry was wrong: what was read stays valid. */
  readonly onCorrected: () => void;
  readonly onPutBack: () => void;
}

/** A figure that readings hang on is different: nothing is kept until it is said whether the part is. */
export function PartQuestionPanel({ question, onChanged, onCorrected, onPutBack }: PartQuestionPanelProps) {
  const changes = question.voids.flatMap((one) => one.changes);
  return (
    <section className="panel stack" aria-label="Was the part changed?">
      <Notice tone="caution" title="Was the part changed, or was only its entry wrong?">
        {`Different: ${partChangesInWords(changes)}. Not kept until this is answered.`}
      </Notice>
      <p>If the part itself was changed, these readings become void. They are kept and marked, not removed.</p>
      <ul className="plain-list">
        {question.voids.map(({ mockUpId, mockUpName, plan }) => (
          <li key={mockUpId}>
            <b>{mockUpName}</b>: {voidedInWords(plan)}
          </li>
        ))}
      </ul>
      <div className="row">
        <Button look="main" onPress={onChanged}>
          The part itself changed: mark them void
        </Button>
        <Button onPress={onCorrected}>This was a correction: they stay valid</Button>
        <Button look="quiet" onPress={onPutBack}>
          Put it back
        </Button>
      </div>
    </section>
  );
}
