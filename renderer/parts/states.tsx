import type { ReactNode } from 'react';
import { Button } from './controls.tsx';

/** Nothing here yet: says what to do first. */
export function EmptyState({
  title,
  children,
  actions,
  isScreen = false,
}: {
  title: string;
  children: ReactNode;
  actions?: ReactNode;
  /** True where this is all that the screen shows: the title is then its heading. */
  isScreen?: boolean;
}) {
  const Heading = isScreen ? 'h1' : 'h2';
  return (
    <section className="state-block">
      <Heading>{title}</Heading>
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
  isScreen = false,
}: {
  what: string;
  sentence: string;
  kept?: string;
  onRetry?: () => void;
  isScreen?: boolean;
}) {
  const Heading = isScreen ? 'h1' : 'h2';
  return (
    <section className="state-block" role="alert">
      <Heading>{what}</Heading>
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
