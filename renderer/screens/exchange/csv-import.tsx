import { useCallback, useState } from 'react';
import { useStore } from 'zustand';
import type { Client } from '../../../core/contract/client.ts';
import type { BookRow } from '../../../core/contract/messages.ts';
import { BuildChoice } from '../../parts/build-choice.tsx';
import { ChoiceField } from '../../parts/fields.tsx';
import { FileButton } from '../../parts/file-button.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { useClient } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';
import { CsvMappingStep, type CsvTable } from './csv-mapping-step.tsx';

/** A table larger than this isn't one of readings typed at a bench. */
const largestTableBytes = 5_000_000;

/** Readings from a table of another program or a spreadsheet, after a look at how it is understood. */
export function CsvImport() {
  const client = useClient();
  const [build, setBuild] = useState<BookRow | null>(null);
  const ask = useCallback(
    async (from: Client) => (build === null ? [] : (await from.call('build.whole', { id: build.buildId })).mockUps),
    [build],
  );
  const { value: mockUps } = useLoaded(ask);
  const [task] = useState(createTask);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const [mockUpId, setMockUpId] = useState('');
  const [table, setTable] = useState<CsvTable | null>(null);
  const choose = (file: File) => {
    setTable(null);
    void runTask(task, 'Reading the table', async () => {
      if (file.size > largestTableBytes)
        throw new Error('The file is larger than 5 MB: split it, or import an archive.');
      const text = await file.text();
      if (text.trim() === '') throw new Error('The file is empty.');
      const inspected = await client.call('csv.inspect', { text });
      setTable({ fileName: file.name, text, ...inspected });
      return `${file.name}: ${inspected.rowCount} ${inspected.rowCount === 1 ? 'line' : 'lines'}. Nothing is stored yet: look below how they are understood.`;
    });
  };
  return (
    <section className="panel stack" aria-label="Readings from a CSV table">
      <h2>Readings from a CSV table</h2>
      <div className="field-grid">
        <BuildChoice
          label="Into which build"
          none="Choose one"
          chosen={build}
          onChoose={(chosen) => {
            setBuild(chosen);
            setMockUpId('');
          }}
        />
        <ChoiceField
          label="Into which mock-up"
          value={mockUpId}
          choices={[
            { value: '', title: build !== null && mockUps?.length === 0 ? 'This build has none yet' : 'Choose one' },
            ...(mockUps ?? []).map(({ id, name }) => ({ value: id, title: name })),
          ]}
          isDisabled={build === null}
          onChange={setMockUpId}
        />
      </div>
      <div className="row">
        <FileButton accept=".csv,.tsv,.txt,text/csv" isDisabled={isBusy || mockUpId === ''} onFile={choose}>
          Choose a table
        </FileButton>
        {mockUpId === '' ? <span className="muted small">First say to which mock-up the readings belong.</span> : null}
      </div>
      <TaskLine task={task} failedTitle="The table can't be taken in." />
      {table === null ? null : (
        <CsvMappingStep
          key={`${table.fileName} ${mockUpId}`}
          table={table}
          mockUpId={mockUpId}
          onTable={setTable}
          onDone={() => setTable(null)}
          task={task}
        />
      )}
    </section>
  );
}
