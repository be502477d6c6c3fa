import type { FieldProblem, JobDraft } from '../../state/build-draft.ts';
import { TextField } from '../fields.tsx';

interface JobFormProps {
  readonly job: JobDraft;
  readonly onChange: (job: JobDraft) => void;
  readonly problem: FieldProblem | null;
  /** Names already in the book, offered while typing. */
  readonly customers: readonly string[];
  readonly isFirst?: boolean;
}

/** Title, number, customer, who measures. */
export function JobForm({ job, onChange, problem, customers, isFirst = false }: JobFormProps) {
  const errorAt = (field: string) => (problem?.field === field ? problem.sentence : null);
  return (
    <div className="field-grid">
      <TextField
        label="Title of the job"
        value={job.title}
        isRequired
        autoFocus={isFirst}
        error={errorAt('title')}
        hint="What it is called on the bench and on paper"
        onChange={(title) => onChange({ ...job, title })}
      />
      <TextField label="Job number" value={job.jobNumber} onChange={(jobNumber) => onChange({ ...job, jobNumber })} />
      <TextField
        label="Who measures"
        value={job.measuredBy}
        hint="Stands beside every reading and on the sheet"
        onChange={(measuredBy) => onChange({ ...job, measuredBy })}
      />
      <TextField
        label="Customer"
        value={job.customerName}
        list={customers}
        hint="Kept in one row of its own: it can be removed later, the measurements stay"
        onChange={(customerName) => onChange({ ...job, customerName })}
      />
      <TextField
        label="How to reach the customer"
        value={job.customerContact}
        onChange={(customerContact) => onChange({ ...job, customerContact })}
      />
      <TextField label="Notes" isMultiline value={job.notes} onChange={(notes) => onChange({ ...job, notes })} />
    </div>
  );
}
