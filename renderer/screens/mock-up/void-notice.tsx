import { voidedInWords } from '../../../core/mockup/void-plan.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import type { VoidQuestion } from '../../state/assembly-draft.ts';

interface VoidNoticeProps {
  readonly question: VoidQuestion;
  /** Something on the engine is different now: keep it and mark what doesn't hold any more. */
  readonly onChanged: () => void;
  /** Only the entry was wrong: what was read stays valid. */
  readonly onCorrected: () => void;
  readonly onUndo: () => void;
}

/** Says what a change voids before it is kept; nothing is kept until one of the three is chosen. */
export function VoidNotice({ question, onChanged, onCorrected, onUndo }: VoidNoticeProps) {
  const reasons = [...new Set(question.plan.map(({ reason }) => reason))];
  return (
    <Notice tone="caution" title="This makes readings void.">
      {reasons.join(' ')} Void would become: {voidedInWords(question.plan)}. They are kept and marked, not removed.
      <span className="row void-choices">
        <Button look="main" onPress={onChanged}>
          It was changed: keep it, mark them void
        </Button>
        <Button onPress={onCorrected}>Only the entry was wrong: keep it, they stay valid</Button>
        <Button look="quiet" onPress={onUndo}>
          Put it back
        </Button>
      </span>
    </Notice>
  );
}
