import { useState } from 'react';
import { useStore } from 'zustand';
import { Button } from '../../parts/controls.tsx';
import { TickField } from '../../parts/fields.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { downloadExport } from '../../state/file-transfer.ts';
import { useClient } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';
import { callForWork } from '../../state/work-calls.ts';

const collecting = 'Checking the book and putting the file together';

/** One file for whoever helps; says what is inside before it is made. */
export function HelpBundle() {
  const client = useClient();
  const [task] = useState(createTask);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const [includeMeasurements, setIncludeMeasurements] = useState(false);
  const make = () =>
    runTask(task, collecting, async (report) => {
      const made = await callForWork(client, 'help.bundle', { includeMeasurements }, collecting, report);
      await downloadExport(client, made, report);
      return `Saved as ${made.fileName}. Look into it before you send it: it is a plain zip.`;
    });
  return (
    <section className="panel stack" aria-label="Ask for help">
      <h2>Ask for help</h2>
      <p>A file to send to somebody who helps. Nothing is sent by itself. Inside are:</p>
      <ul className="plain-list">
        <li>versions of the program, the system and its parts, and how much memory there is</li>
        <li>the log of the program; the account's name is taken out of its paths</li>
        <li>the result of a check of the book, and how many records it holds</li>
        <li>
          {includeMeasurements ? 'all builds, parts, readings and pictures' : 'no builds, no readings, no pictures'}
        </li>
        <li>no customers in either case</li>
      </ul>
      <TickField
        label="With the measurements, without customers"
        isOn={includeMeasurements}
        onChange={setIncludeMeasurements}
      />
      <div className="row">
        <Button isDisabled={isBusy} onPress={() => void make()}>
          Make the file
        </Button>
      </div>
      <TaskLine task={task} />
    </section>
  );
}
