import { Component, type ErrorInfo, type ReactNode } from 'react';
import { FailedState } from './states.tsx';

interface Props {
  readonly children: ReactNode;
}

/** A fault of our own in one screen: the bar stays, the way back works, nothing stored is touched. */
export class ErrorBoundary extends Component<Props, { readonly error: Error | null }> {
  override state: { readonly error: Error | null } = { error: null };

  static getDerivedStateFromError(error: Error): { readonly error: Error } {
    return { error };
  }

  override componentDidCatch(error: Error, info: ErrorInfo): void {
    console.error('A screen failed:', error, info.componentStack);
  }

  override render(): ReactNode {
    if (this.state.error === null) return this.props.children;
    return (
      <FailedState
        isScreen
        what="This screen failed"
        sentence={`The fault is in the program: ${this.state.error.message}`}
        kept="Everything stamped so far is in the database. Draw the screen again, or go back with Esc."
        onRetry={() => this.setState({ error: null })}
      />
    );
  }
}
