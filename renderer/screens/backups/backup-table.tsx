import { useState } from 'react';
import { useStore } from 'zustand';
import type { Backup } from '../../../core/contract/book-messages.ts';
import type { OutputOf } from '../../../core/contract/messages.ts';
import { useReloadHost } from '../../parts/book-trouble.tsx';
import { Button, Confirm } from '../../parts/controls.tsx';
import { EmptyState } from '../../parts/states.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { backupKindTitles } from '../../state/backup-effects.ts';
import { shownSize } from '../../state/file-transfer.ts';
import { useClient, useHost } from '../../state/services.ts';
import { runTask, type TaskStore } from '../../state/task.ts';
import { callForWork } from '../../state/work-calls.ts';

interface BackupTableProps {
  readonly list: OutputOf<'backup.list'>;
  readonly task: TaskStore;
  readonly reload: () => void;
}

type Asked = { readonly what: 'restore' | 'remove'; readonly backup: Backup } | null;

const copying = 'Copying the book, then checking the copy in full; stamping can go on';
const restoring = 'Checking the backup, then putting it in place';

/** The copies of the book, newest first. */
export function BackupTable({ list, task, reload }: BackupTableProps) {
  const client = useClient();
  const { info } = useHost();
  const reloadHost = useReloadHost();
  const isBusy = useStore(task, (state) => state.phase === 'running');
  const [asked, setAsked] = useState<Asked>(null);
  // A copy of a damaged book would not be kept: its check fails.
  const canCopy = info?.bookTrouble == null || (info.bookTrouble.isReadable && info.bookTrouble.kind !== 'damaged');
  const make = () =>
    runTask(task, copying, async (report) => {
      const { name, sizeBytes } = await callForWork(client, 'backup.make', {}, copying, report);
      reload();
      return `Kept and checked: ${name}, ${shownSize(sizeBytes)}.`;
    });
  const restore = (backup: Backup) =>
    runTask(task, restoring, async (report) => {
      const { keptAs } = await callForWork(client, 'backup.restore', { name: backup.name }, restoring, report);
      await reloadHost();
      reload();
      const before = keptAs === null ? '' : ` The book as it was before is kept as ${keptAs}.`;
      return `The book is that of ${shownTime(backup.madeAt)} again.${before}`;
    });
  const remove = (backup: Backup) =>
    runTask(task, 'Removing the backup', async () => {
      await client.call('backup.remove', { name: backup.name });
      reload();
      return `Removed: the backup of ${shownTime(backup.madeAt)}.`;
    });
  return (
    <section className="panel stack" aria-label="Backups">
      <div className="row spread">
        <h2>Backups</h2>
        <Button look="main" isDisabled={isBusy || !canCopy} onPress={() => void make()}>
          Make one now
        </Button>
      </div>
      <p className="muted small">
        In <span className="path">{list.folder}</span>. One a day is made by itself and checked; dailies are kept for a
        week, then one a week for a month, one a month for a year. What was made by hand or before a step stays until it
        is removed. Copy some of them to another disk.
      </p>
      {list.backups.length === 0 ? (
        <EmptyState title="No backup yet">
          <p>The first one of the day is made by itself soon after the start. One made now can be restored at once.</p>
        </EmptyState>
      ) : (
        <table className="table">
          <caption className="visually-hidden">Backups, the newest first</caption>
          <thead>
            <tr>
              <th scope="col">Made</th>
              <th scope="col">Why</th>
              <th scope="col" className="figure">
                Size
              </th>
              <th scope="col">
                <span className="visually-hidden">Do</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {list.backups.map((backup) => (
              <tr key={backup.name}>
                <th scope="row">{shownTime(backup.madeAt)}</th>
                <td>{backupKindTitles[backup.kind]}</td>
                <td className="figure">{shownSize(backup.sizeBytes)}</td>
                <td className="figure">
                  <Button
                    look="quiet"
                    isDisabled={isBusy}
                    name={`Restore the backup of ${shownTime(backup.madeAt)}`}
                    onPress={() => setAsked({ what: 'restore', backup })}
                  >
                    Restore
                  </Button>
                  <Button
                    look="quiet"
                    isDisabled={isBusy}
                    name={`Remove the backup of ${shownTime(backup.madeAt)}`}
                    onPress={() => setAsked({ what: 'remove', backup })}
                  >
                    Remove
                  </Button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {asked === null ? null : (
        <AskFirst
          asked={asked}
          isSound={info?.bookTrouble == null}
          onCancel={() => setAsked(null)}
          onConfirm={() => {
            setAsked(null);
            void (asked.what === 'restore' ? restore(asked.backup) : remove(asked.backup));
          }}
        />
      )}
    </section>
  );
}

interface AskFirstProps {
  readonly asked: NonNullable<Asked>;
  readonly isSound: boolean;
  readonly onConfirm: () => void;
  readonly onCancel: () => void;
}

function AskFirst({ asked, isSound, onConfirm, onCancel }: AskFirstProps) {
  const time = shownTime(asked.backup.madeAt);
  if (asked.what === 'remove') {
    return (
      <Confirm
        question={`Remove the backup of ${time}?`}
        consequence="The file goes for good. The book itself and all other backups stay."
        confirmWord="Remove this backup"
        onConfirm={onConfirm}
        onCancel={onCancel}
      />
    );
  }
  return (
    <Confirm
      question={`Put the book back to ${time}?`}
      consequence="What will happen:"
      confirmWord="Restore this backup"
      onConfirm={onConfirm}
      onCancel={onCancel}
    >
      <ul className="plain-list">
        <li>The backup is checked in full first; where it isn't sound, nothing is changed.</li>
        <li>
          {isSound
            ? 'The book as it is now becomes a backup of its own, so this step can be undone in the same way.'
            : 'The damaged or unreadable file is moved beside the backups and stays there.'}
        </li>
        <li>Builds, readings and changes made after {time} are then no longer in the book.</li>
        <li>The backup itself stays.</li>
      </ul>
    </Confirm>
  );
}
