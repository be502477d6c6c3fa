import type { ReactNode } from 'react';
import type { FieldProblem, JobDraft } from '../../state/build-draft.ts';
import { TextField } from '../fields.tsx';

type JobFields = Pick<JobDraft, 'title' | 'jobNumber' | 'measuredBy' | 'notes'>;

interface JobFormProps {
  readonly job: JobFields;
  readonly onChange: (job: JobFields) => void;
  readonly problem: FieldProblem | null;
  readonly isFirst?: boolean;
  /** Fields for the customer. */
  readonly children: ReactNode;
}

/** Title, number, who measures, customer. */
export function JobForm({ job, onChange, problem, isFirst = false, children }: JobFormProps) {
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
      {children}
      <TextField label="Notes" isMultiline value={job.notes} onChange={(notes) => onChange({ ...job, notes })} />
    </div>
  );
}

interface NewCustomerFieldsProps {
  readonly job: Pick<JobDraft, 'customerName' | 'customerContact'>;
  readonly onChange: (customer: Pick<JobDraft, 'customerName' | 'customerContact'>) => void;
  /** Names already in the book, offered while typing. */
  readonly customers: readonly string[];
}

/** The customer of a build that isn't in the book yet: one of the book by the name, or a new one. */
export function NewCustomerFields({
  job: { customerName, customerContact },
  onChange,
  customers,
}: NewCustomerFieldsProps) {
  return (
    <>
      <TextField
        label="Customer"
        value={customerName}
        list={customers}
        hint="Kept in one row of its own: it can be removed later, the measurements stay"
        onChange={(name) => onChange({ customerName: name, customerContact })}
      />
      <TextField
        label="How to reach the customer"
        value={customerContact}
        onChange={(contact) => onChange({ customerName, customerContact: contact })}
      />
    </>
  );
}
