import { useStore } from 'zustand';
import { clearTask, stopTask, type TaskStore } from '../state/task.ts';
import { Button, Notice } from './controls.tsx';

/** Longer work: a bar while it runs, and how it ended. */
export function TaskLine({ task, failedTitle = 'Not done.' }: { task: TaskStore; failedTitle?: string }) {
  const { phase, sentence, part, canStop } = useStore(task);
  const putAway = (
    <Button look="quiet" onPress={() => clearTask(task)}>
      Put away
    </Button>
  );
  switch (phase) {
    case 'idle':
      return null;
    case 'running':
      return (
        <div className="task-line" aria-busy="true">
          <p role="status">{sentence}</p>
          {part === null ? (
            <div className="state-bar" aria-hidden="true" />
          ) : (
            <progress max={1} value={part} aria-label={sentence} />
          )}
          {canStop ? <Button onPress={() => stopTask(task)}>Stop</Button> : null}
        </div>
      );
    case 'done':
      return (
        <Notice tone="done" action={putAway}>
          <span role="status">{sentence}</span>
        </Notice>
      );
    case 'stopped':
      return (
        <Notice tone="note" action={putAway}>
          {sentence}
        </Notice>
      );
    case 'failed':
      return (
        <Notice tone="failure" title={failedTitle} action={putAway}>
          {sentence}
        </Notice>
      );
  }
}
