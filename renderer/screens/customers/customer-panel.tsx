import { useCallback, useEffect, useState } from 'react';
import { useStore } from 'zustand';
import type { Client } from '../../../core/contract/client.ts';
import type { OutputOf } from '../../../core/contract/messages.ts';
import type { Customer, CustomerContent } from '../../../core/contract/parts.ts';
import { Button, LinkButton } from '../../parts/controls.tsx';
import { EditingBar } from '../../parts/editing-bar.tsx';
import { TextField } from '../../parts/fields.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { changed, createEditor } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import { formatRoute } from '../../state/route.ts';
import { useClient } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';
import { AskForRemoval, RemovalOutcome } from './removal.tsx';

/** Builds looked for; a customer of more has them in the book's list. */
const listedBuilds = 50;

/** One customer: details, builds, and the way to remove the details. */
export function CustomerPanel({ customer }: { customer: Customer }) {
  const client = useClient();
  const ask = useCallback(
    (from: Client) => from.call('book.list', { customerId: customer.id, limit: listedBuilds }),
    [customer.id],
  );
  const builds = useLoaded(ask);
  const [task] = useState(createTask);
  const [isAsking, setAsking] = useState(false);
  const [outcome, setOutcome] = useState<OutputOf<'customer.removeDetails'> | null>(null);
  const remove = () => {
    setAsking(false);
    void runTask(task, 'Removing the details', async () => {
      setOutcome(await client.call('customer.removeDetails', { id: customer.id }));
      return 'The details are removed.';
    });
  };
  return (
    <div className="stack">
      {/* A removal changes the details from outside: the editor begins anew with what is stored then. */}
      <DetailsEditor key={outcome === null ? 'before' : `removed ${customer.name}`} customer={customer} />
      <TaskLine task={task} failedTitle="The details were not removed." />
      {outcome === null ? null : <RemovalOutcome outcome={outcome} />}
      <section className="panel stack" aria-label="Builds of this customer">
        <h2>Builds</h2>
        {builds.value === null ? (
          <p role="status">{builds.failure ?? 'Looking for builds'}</p>
        ) : builds.value.rows.length === 0 ? (
          <p className="muted">No build is for this customer.</p>
        ) : (
          <ul className="plain-list">
            {builds.value.rows.map((row) => (
              <li key={row.buildId}>
                <a href={formatRoute({ screen: 'build', buildId: row.buildId })}>{row.title}</a>{' '}
                <span className="muted">{row.jobNumber}</span>
              </li>
            ))}
          </ul>
        )}
        <div className="row">
          <LinkButton to={{ screen: 'history', of: 'record', id: customer.id }}>History of the details</LinkButton>
          <Button onPress={() => setAsking(true)}>Remove the personal details</Button>
        </div>
      </section>
      {isAsking ? (
        <AskForRemoval
          customer={customer}
          builds={builds.value?.total ?? null}
          onConfirm={remove}
          onCancel={() => setAsking(false)}
        />
      ) : null}
    </div>
  );
}

function DetailsEditor({ customer }: { customer: Customer }) {
  const client = useClient();
  const [editor] = useState(() => createEditor<CustomerContent>({ name: customer.name, contact: customer.contact }));
  const { value } = useStore(editor);
  const set = (change: Partial<CustomerContent>) =>
    editor.setState(changed(editor.getState(), { ...value, ...change }));
  useEffect(
    () =>
      keepChanges(
        editor,
        (content) => client.call('customer.update', { id: customer.id, content }),
        (content) => (content.name.trim() === '' ? 'needs a name' : null),
      ),
    [client, editor, customer.id],
  );
  return (
    <section className="panel stack" aria-label="Details">
      <div className="row spread">
        <h2>Details</h2>
        <EditingBar editor={editor} takesKeys />
      </div>
      <div className="field-grid">
        <TextField
          label="Name"
          value={value.name}
          isRequired
          error={
            value.name.trim() === '' ? 'Give a name; to remove the person use "Remove the personal details".' : null
          }
          onChange={(name) => set({ name })}
        />
        <TextField label="How to reach" isMultiline value={value.contact} onChange={(contact) => set({ contact })} />
      </div>
    </section>
  );
}
