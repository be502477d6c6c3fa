import './backups.css';
import { useState } from 'react';
import { BookBar } from '../../parts/book-bar.tsx';
import { BookTroubleText } from '../../parts/book-trouble.tsx';
import { FailedState, LoadingState } from '../../parts/states.tsx';
import { TaskLine } from '../../parts/task-line.tsx';
import { useLoaded } from '../../parts/use-loaded.ts';
import { loadBackups } from '../../state/backup-effects.ts';
import { useHost } from '../../state/services.ts';
import { createTask } from '../../state/task.ts';
import { BackupTable } from './backup-table.tsx';
import { CheckPanel } from './check-panel.tsx';
import { HelpBundle } from './help-bundle.tsx';

/** Is the book sound, which copies are there, and what to send to somebody who helps. */
export function BackupsScreen() {
  const { info } = useHost();
  const { value, failure, reload } = useLoaded(loadBackups);
  const [task] = useState(createTask);
  return (
    <div className="desk">
      <BookBar place="backups" />
      <h1>Backups and help</h1>
      {info?.bookTrouble == null ? null : (
        <BookTroubleText trouble={info.bookTrouble} path={info.databasePath} leadsOn={false} />
      )}
      <TaskLine task={task} />
      <div className="backups-columns">
        {value === null ? (
          failure === null ? (
            <LoadingState what="Looking for backups" />
          ) : (
            <FailedState what="The backups can't be listed" sentence={failure} onRetry={reload} />
          )
        ) : (
          <BackupTable list={value} task={task} reload={reload} />
        )}
        <div className="stack">
          <CheckPanel onSaved={reload} />
          <HelpBundle />
        </div>
      </div>
    </div>
  );
}
