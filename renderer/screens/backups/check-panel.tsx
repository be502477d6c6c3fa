import { useState } from 'react';
import { useStore } from 'zustand';
import type { OutputOf } from '../../../core/contract/messages.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { countsInWords } from '../../state/backup-effects.ts';
import { useClient, useHost } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';
import { callForWork } from '../../state/work-calls.ts';

const looking = 'Looking through every page and every row of the book; stamping can go on';
const saving = 'Saving what can be read';

/** Looks through the whole book; where it is damaged, saves what can be read. */
export function CheckPanel({ onSaved }: { onSaved: () => void }) {
  const client = useClient();
  const { info } = useHost();
  const [task] = useState(createTask);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const [check, setCheck] = useState<OutputOf<'book.check'> | null>(null);
  const [salvage, setSalvage] = useState<OutputOf<'book.salvage'> | null>(null);
  const look = () =>
    runTask(task, looking, async (report) => {
      setCheck(null);
      const found = await callForWork(client, 'book.check', {}, looking, report);
      setCheck(found);
      return found.isSound ? 'The book is sound: every page, every reference, every check sum.' : 'The check is done.';
    });
  const save = () =>
    runTask(task, saving, async (report) => {
      const saved = await callForWork(client, 'book.salvage', {}, saving, report);
      setSalvage(saved);
      onSaved();
      return 'Saved. It stands among the backups and can be restored from there.';
    });
  const isDamaged = info?.bookTrouble?.kind === 'damaged' || check?.isSound === false;
  return (
    <section className="panel stack" aria-label="Check of the book">
      <h2>Check of the book</h2>
      <p className="muted small">
        Every row carries a check sum of its own: a figure that was altered by a failing disk is found instead of shown.
      </p>
      <div className="row">
        <Button isDisabled={isBusy} onPress={() => void look()}>
          Check the whole book
        </Button>
        {isDamaged ? (
          <Button look="main" isDisabled={isBusy} onPress={() => void save()}>
            Save what can be read
          </Button>
        ) : null}
      </div>
      <TaskLine task={task} />
      {check === null || check.isSound ? null : (
        <Notice tone="failure" title="The book is not sound.">
          Don't go on writing to it: restore a backup, or save what can be read. Found: {check.findings.join('; ')}
        </Notice>
      )}
      {salvage === null ? null : (
        <dl className="fact-list">
          <div>
            <dt>Saved</dt>
            <dd>{countsInWords(salvage.saved)}</dd>
          </div>
          <div>
            <dt>Lost</dt>
            <dd>{countsInWords(salvage.lost)}</dd>
          </div>
        </dl>
      )}
    </section>
  );
}
