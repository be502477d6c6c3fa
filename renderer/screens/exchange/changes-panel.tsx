import { useState } from 'react';
import { useStore } from 'zustand';
import { Button } from '../../parts/controls.tsx';
import { FileButton } from '../../parts/file-button.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { exportChanges, parseState, saveState } from '../../state/exchange-effects.ts';
import { useClient, useHost } from '../../state/services.ts';
import { createTask, runTask } from '../../state/task.ts';

/** Two books bring each other up to date with only what the other lacks. */
export function ChangesPanel() {
  const client = useClient();
  const { info } = useHost();
  const [task] = useState(createTask);
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const save = () => runTask(task, 'Looking how far this book is', () => saveState(client, info?.workplaceName ?? ''));
  const send = (file: File) =>
    void runTask(task, 'Reading the state of the other book', async (report) => {
      const other = parseState(await file.text());
      return exportChanges(client, other, report);
    });
  return (
    <section className="panel stack" aria-label="Bring another book up to date">
      <h2>Bring another book up to date</h2>
      <ol className="exchange-steps">
        <li>
          <span>On the computer that is behind: save how far its book is.</span>
          <Button isDisabled={isBusy} onPress={() => void save()}>
            Save the state of this book
          </Button>
        </li>
        <li>
          <span>On the computer that is ahead: choose that file; only what the other lacks is written.</span>
          <FileButton accept=".json,application/json" isDisabled={isBusy} onFile={send}>
            Choose the other book's state
          </FileButton>
        </li>
        <li>
          <span>Back on the first computer: choose the archive under Import.</span>
        </li>
      </ol>
      <TaskLine task={task} />
    </section>
  );
}
