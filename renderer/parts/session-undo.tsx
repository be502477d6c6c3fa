import { useStore } from 'zustand';
import type { CheckSession } from '../state/check-session.ts';
import { Button, Notice } from './controls.tsx';

/** Undo and redo of what was kept by hand, what was kept last, and what is still on its way to the book. */
export function SessionUndo({ session, showsKeys = false }: { session: CheckSession; showsKeys?: boolean }) {
  const { past, future } = useStore(session.store);
  const { waiting } = useStore(session.outbox.store);
  const last = past.at(-1);
  return (
    <>
      <span className="small muted" role="status">
        {waiting > 0 ? `${waiting} on the way to the book` : last === undefined ? '' : `Kept: ${last.title}`}
      </span>
      <Button
        look="quiet"
        isDisabled={last === undefined}
        onPress={session.undo}
        {...(showsKeys ? { keyHint: 'Ctrl Z' } : {})}
      >
        Undo
      </Button>
      <Button
        look="quiet"
        isDisabled={future.length === 0}
        onPress={session.redo}
        {...(showsKeys ? { keyHint: 'Ctrl Shift Z' } : {})}
      >
        Redo
      </Button>
    </>
  );
}

/** What the book didn't take, and what happens to it. */
export function SessionFailures({ session }: { session: CheckSession }) {
  const { failure, refused } = useStore(session.outbox.store);
  return (
    <>
      {failure === null ? null : (
        <Notice
          tone="failure"
          title="Not stored yet."
          action={
            <Button look="quiet" onPress={session.outbox.retry}>
              Try now
            </Button>
          }
        >
          {failure} It is kept here and tried again by itself; leave this window open.
        </Notice>
      )}
      {refused.map(({ label, sentence }) => (
        <Notice key={`${label} ${sentence}`} tone="failure" title={`${label} was refused.`}>
          {sentence}
        </Notice>
      ))}
    </>
  );
}
