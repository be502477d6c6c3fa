import { useState } from 'react';
import type { BookTrouble } from '../../core/contract/book-messages.ts';
import { refreshHost } from '../state/host-info.ts';
import { useClient, useServices } from '../state/services.ts';
import { createTask, runTask } from '../state/task.ts';
import { Button, LinkButton } from './controls.tsx';
import { TaskLine } from './task-line.tsx';

interface TroubleWords {
  readonly title: string;
  readonly kept: string;
  readonly steps: readonly string[];
  /** Does opening the file again help once the steps are done, without starting the program anew? */
  readonly canReopen: boolean;
  readonly needsBackup: boolean;
}

const words: Readonly<Record<BookTrouble['kind'], TroubleWords>> = {
  locked: {
    title: 'Another program holds the book',
    kept: 'Nothing in the book was changed, and nothing is lost.',
    steps: [
      'Close the program that holds it: a database viewer, a second Portsight under another account, a backup or sync program at work.',
      'Then open the book again here.',
    ],
    canReopen: true,
    needsBackup: false,
  },
  newer: {
    title: 'The book was written by a newer Portsight',
    kept: 'The file was not changed. All of it can be looked at, printed and exported; nothing can be added.',
    steps: [
      'Update Portsight on this computer to the version that wrote the book, or a later one.',
      'Until then measure into a book of its own on the computer with the newer version.',
    ],
    canReopen: false,
    needsBackup: false,
  },
  damaged: {
    title: 'The book is damaged',
    kept: 'The file was not changed by this program, and nothing more is written to it.',
    steps: [
      'Restore the latest backup from before the damage: the damaged file is kept beside the backups.',
      'Where no backup is recent enough, first save what can still be read; what it finds becomes a backup that can be restored.',
      'Then look for the cause: a failing disk, a cable, a power cut while a sync program was copying.',
    ],
    canReopen: true,
    needsBackup: true,
  },
  write_protected: {
    title: 'The book is write-protected',
    kept: 'Nothing was changed. All of it can be looked at, printed and exported as far as the folder allows.',
    steps: [
      'Give your account the right to write in the folder of the book, or end the write protection of the disk.',
      'Then open the book again here.',
    ],
    canReopen: true,
    needsBackup: false,
  },
  unreadable: {
    title: 'The book could not be opened',
    kept: 'Nothing was changed.',
    steps: [
      'Look whether the folder of the book is there and the disk or share is connected.',
      'Give your account the right to read and write there, then open the book again here.',
    ],
    canReopen: true,
    needsBackup: true,
  },
  other: {
    title: 'The book is not open for writing',
    kept: 'Everything that was stored before is kept.',
    steps: ['Mend what the sentence above says, then open the book again here.'],
    canReopen: true,
    needsBackup: true,
  },
};

interface BookTroubleTextProps {
  readonly trouble: BookTrouble;
  readonly path: string;
  /** False on the screen that the ways out lead to. */
  readonly leadsOn?: boolean;
}

/** What is the matter with the book, what is safe, and the way out. */
export function BookTroubleText({ trouble, path, leadsOn = true }: BookTroubleTextProps) {
  const { client, host } = useServices();
  const [task] = useState(createTask);
  const { title, kept, steps, canReopen, needsBackup } = words[trouble.kind];
  const reopen = () =>
    runTask(task, 'Opening the book again', async () => {
      const { bookTrouble } = await client.call('book.reopen', {});
      await refreshHost(client, host);
      if (bookTrouble !== null) throw new Error(bookTrouble.sentence);
      return 'The book is open again.';
    });
  return (
    <section className="panel stack trouble" role="alert" aria-label={title}>
      <h2>{title}</h2>
      <p>{trouble.sentence}</p>
      <p>{kept}</p>
      <h3>What to do</h3>
      <ol className="plain-list">
        {steps.map((step) => (
          <li key={step}>{step}</li>
        ))}
      </ol>
      <p className="muted small">
        File of the book: <span className="path">{path}</span>
      </p>
      <div className="row">
        {canReopen ? (
          <Button look={needsBackup ? 'plain' : 'main'} onPress={() => void reopen()}>
            Open the book again
          </Button>
        ) : null}
        {needsBackup && leadsOn ? (
          <LinkButton look="main" to={{ screen: 'backups' }}>
            To the backups
          </LinkButton>
        ) : null}
        {leadsOn ? <LinkButton to={{ screen: 'backups' }}>Ask for help</LinkButton> : null}
      </div>
      <TaskLine task={task} failedTitle="Still not open for writing." />
    </section>
  );
}

export function useReloadHost(): () => Promise<void> {
  const client = useClient();
  const { host } = useServices();
  return () => refreshHost(client, host);
}
