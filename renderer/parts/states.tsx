import type { ReactNode } from 'react';
import { Button } from './controls.tsx';

/** Nothing here yet: says what to do first. */
export function EmptyState({ title, children, actions }: { title: string; children: ReactNode; actions?: ReactNode }) {
  return (
    <section className="state-block">
      <h2>{title}</h2>
      <div className="state-text">{children}</div>
      {actions === undefined ? null : <div className="row">{actions}</div>}
    </section>
  );
}

export function LoadingState({ what, onCancel }: { what: string; onCancel?: () => void }) {
  return (
    <section className="state-block" aria-busy="true">
      <p role="status">{what}</p>
      <div className="state-bar" aria-hidden="true" />
      {onCancel === undefined ? null : <Button onPress={onCancel}>Stop</Button>}
    </section>
  );
}

/** Says what happened, what is safe, what to do. */
export function FailedState({
  what,
  sentence,
  kept,
  onRetry,
}: {
  what: string;
  sentence: string;
  kept?: string;
  onRetry?: () => void;
}) {
  return (
    <section className="state-block" role="alert">
      <h2>{what}</h2>
      <div className="state-text">
        <p>{sentence}</p>
        <p>{kept ?? 'Everything that was stored before is still in the database.'}</p>
      </div>
      {onRetry === undefined ? null : (
        <div className="row">
          <Button look="main" onPress={onRetry}>
            Try again
          </Button>
        </div>
      )}
    </section>
  );
}
