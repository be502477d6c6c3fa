import { useCallback, useState } from 'react';
import { useStore } from 'zustand';
import type { Client } from '../../../core/contract/client.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField, TickField } from '../../parts/fields.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { type ExportAsked, exportFile } from '../../state/exchange-effects.ts';
import { useClient } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';

const whole = '';

/** One build or all, as an archive or as a table of readings. */
export function ExportPanel() {
  const client = useClient();
  const ask = useCallback((from: Client) => from.call('book.list', { limit: 1000 }), []);
  const { value: builds, failure } = useLoaded(ask);
  const [task] = useState(createTask);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const [buildId, setBuildId] = useState(whole);
  const [includeCustomers, setIncludeCustomers] = useState(true);
  const run = (what: ExportAsked['what']) =>
    runTask(task, what === 'table' ? 'Writing the table' : 'Writing the archive; stamping can go on', (report) =>
      exportFile(client, { what, buildId: buildId === whole ? null : buildId, includeCustomers }, report),
    );
  return (
    <section className="panel stack" aria-label="Export">
      <h2>Export</h2>
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      <ChoiceField
        label="What goes out"
        value={buildId}
        choices={[
          { value: whole, title: 'The whole book' },
          ...(builds?.rows ?? []).map((row) => ({
            value: row.buildId,
            title: row.jobNumber === '' ? row.title : `${row.title}, ${row.jobNumber}`,
          })),
        ]}
        onChange={setBuildId}
      />
      <TickField label="With the customers' details" isOn={includeCustomers} onChange={setIncludeCustomers} />
      <div className="row">
        <Button look="main" isDisabled={isBusy} onPress={() => void run('archive')}>
          Export an archive
        </Button>
        <Button isDisabled={isBusy} onPress={() => void run('table')}>
          Only the readings, as CSV
        </Button>
      </div>
      <p className="muted small">
        An archive is a zip with open formats inside: JSON with its published schema, CSV tables, pictures as JPEG,
        sheets as HTML. Another Portsight takes it in without loss.
      </p>
      <TaskLine task={task} />
    </section>
  );
}
