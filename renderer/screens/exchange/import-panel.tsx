import { useState } from 'react';
import { useStore } from 'zustand';
import type { ArchiveSummary, ImportReport } from '../../../core/contract/book-messages.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { FileButton } from '../../parts/file-button.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { countsInWords, tableTitle } from '../../state/backup-effects.ts';
import { dropUpload, type Incoming, lookIntoArchive, takeIn } from '../../state/exchange-effects.ts';
import { useClient } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';

const scopeTitles: Readonly<Record<ArchiveSummary['scope'], string>> = {
  build: 'one build with everything that belongs to it',
  book: 'a whole book',
  changes: 'what changed since another book was last brought up to date',
};

/** Takes an archive in: first a look, then the decision. */
export function ImportPanel() {
  const client = useClient();
  const [task] = useState(createTask);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const [incoming, setIncoming] = useState<Incoming | null>(null);
  const [report, setReport] = useState<ImportReport | null>(null);
  const look = (file: File) => {
    setIncoming(null);
    setReport(null);
    void runTask(task, 'Reading the file', async (progress) => {
      setIncoming(await lookIntoArchive(client, file, progress));
      return `${file.name} was looked through; nothing is stored yet.`;
    });
  };
  const take = (chosen: Incoming) =>
    runTask(task, 'Importing, all of it or nothing', async (progress) => {
      const done = await takeIn(client, chosen, progress);
      setIncoming(null);
      setReport(done);
      return `${chosen.fileName} is imported.`;
    });
  return (
    <section className="panel stack" aria-label="Import">
      <h2>Import</h2>
      <p className="muted small">
        Records carry ids of their own: what is here already is recognised and never doubled. What both sides changed is
        kept in both versions and asked about. The import happens as a whole or not at all.
      </p>
      <div className="row">
        <FileButton accept=".zip,application/zip" look="main" isDisabled={isBusy} onFile={look}>
          Choose an archive
        </FileButton>
      </div>
      {incoming === null ? null : (
        <Inspection
          incoming={incoming}
          isBusy={isBusy}
          onTake={() => void take(incoming)}
          onLeave={() => {
            setIncoming(null);
            void dropUpload(client, incoming.uploadId);
          }}
        />
      )}
      {/* Below what was looked at, where the hand is when it begins. */}
      <TaskLine task={task} failedTitle="Nothing was imported." />
      {report === null ? null : <ReportTable title="What was done" report={report} />}
    </section>
  );
}

interface InspectionProps {
  readonly incoming: Incoming;
  readonly isBusy: boolean;
  readonly onTake: () => void;
  readonly onLeave: () => void;
}

function Inspection({ incoming, isBusy, onTake, onLeave }: InspectionProps) {
  const { summary, rehearsal, refusal } = incoming;
  const changesNothing =
    rehearsal !== null && rehearsal.updated === 0 && Object.values(rehearsal.added).every((count) => count === 0);
  return (
    <div className="stack">
      <h3>What is inside</h3>
      <dl className="fact-list">
        <div>
          <dt>It holds</dt>
          <dd>{scopeTitles[summary.scope]}</dd>
        </div>
        <div>
          <dt>Made</dt>
          <dd>
            {shownTime(summary.madeAt)} by{' '}
            {summary.madeByName === '' ? 'a workplace without a name' : summary.madeByName}, Portsight{' '}
            {summary.programVersion}
          </dd>
        </div>
        <div>
          <dt>Records</dt>
          <dd>{countsInWords(summary.counts)}</dd>
        </div>
      </dl>
      {rehearsal === null ? null : <ReportTable title="What the import would do" report={rehearsal} />}
      {refusal === null ? null : (
        <Notice tone="failure" title="It can't be imported.">
          {refusal}
        </Notice>
      )}
      {changesNothing ? <Notice tone="note">Everything in it is in this book already.</Notice> : null}
      <div className="row">
        {rehearsal === null || changesNothing ? null : (
          <Button look="main" isDisabled={isBusy} onPress={onTake}>
            Import it
          </Button>
        )}
        <Button isDisabled={isBusy} onPress={onLeave}>
          Leave it
        </Button>
      </div>
    </div>
  );
}

function ReportTable({ title, report }: { title: string; report: ImportReport }) {
  const added = Object.entries(report.added).filter(([, count]) => count > 0);
  return (
    <table className="table exchange-report">
      <caption>{title}</caption>
      <tbody>
        {added.map(([table, count]) => (
          <tr key={table}>
            <th scope="row">Added: {tableTitle(table, 2)}</th>
            <td className="figure">{count}</td>
          </tr>
        ))}
        <tr>
          <th scope="row">Brought up to date</th>
          <td className="figure">{report.updated}</td>
        </tr>
        <tr>
          <th scope="row">Known already, left as they are</th>
          <td className="figure">{report.known}</td>
        </tr>
        <tr>
          <th scope="row">Changed on both sides, to be settled</th>
          <td className="figure">{report.conflicts}</td>
        </tr>
      </tbody>
    </table>
  );
}
