import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { Button } from '../../parts/controls.tsx';
import { ChoiceField, TextField } from '../../parts/fields.tsx';
import { type PlanDraft, planProblem } from '../../state/plan-draft.ts';

/** Which plan is shown, its name, and a new one. */
export function PlanBar({
  draft,
  whole,
  onName,
  onChoose,
  onNew,
}: {
  draft: PlanDraft;
  whole: MockUpWhole;
  onName: (name: string) => void;
  onChoose: (planId: string) => void;
  onNew: () => void;
}) {
  const { plans } = whole.mockUp;
  const isKept = plans.some(({ planId }) => planId === draft.planId);
  const choices = [
    ...plans.map(({ planId, name }) => ({ value: planId, title: name })),
    ...(isKept ? [] : [{ value: draft.planId, title: `${draft.name} (new)` }]),
  ];
  return (
    <>
      {choices.length < 2 ? null : (
        <ChoiceField label="Plan" value={draft.planId} choices={choices} onChange={onChoose} />
      )}
      <TextField label="Name of the plan" value={draft.name} isRequired error={planProblem(draft)} onChange={onName} />
      {isKept ? (
        <div className="row">
          <Button look="quiet" onPress={onNew}>
            Begin another plan
          </Button>
        </div>
      ) : null}
    </>
  );
}
