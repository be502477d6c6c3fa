import { useState } from 'react';
import { useStore } from 'zustand';
import type { BookRow } from '../../../core/contract/messages.ts';
import { BuildChoice } from '../../parts/build-choice.tsx';
import { Button } from '../../parts/controls.tsx';
import { TickField } from '../../parts/fields.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { type ExportAsked, exportFile } from '../../state/exchange-effects.ts';
import { useClient } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';

/** One build or all, as an archive or as a table of readings. */
export function ExportPanel() {
  const client = useClient();
  const [task] = useState(createTask);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const [build, setBuild] = useState<BookRow | null>(null);
  const [includeCustomers, setIncludeCustomers] = useState(true);
  const run = (what: ExportAsked['what']) =>
    runTask(task, what === 'table' ? 'Writing the table' : 'Writing the archive; stamping can go on', (report) =>
      exportFile(client, { what, buildId: build?.buildId ?? null, includeCustomers }, report),
    );
  return (
    <section className="panel stack" aria-label="Export">
      <h2>Export</h2>
      <BuildChoice label="What goes out" none="The whole book" chosen={build} onChoose={setBuild} />
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
