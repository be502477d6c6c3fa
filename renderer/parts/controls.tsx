import { type ReactNode, useEffect, useId, useRef } from 'react';
import type { Route } from '../state/route.ts';
import { formatRoute } from '../state/route.ts';

interface ButtonProps {
  readonly children: ReactNode;
  readonly onPress: () => void;
  /** `main` is the one next step of a screen; `plain` all others; `quiet` inside rows of a table. */
  readonly look?: 'main' | 'plain' | 'quiet';
  readonly isDisabled?: boolean;
  readonly isPressed?: boolean;
  /** Full name where the text alone doesn't say what it acts on. */
  readonly name?: string;
  readonly keyHint?: string;
}

export function Button({
  children,
  onPress,
  look = 'plain',
  isDisabled = false,
  isPressed,
  name,
  keyHint,
}: ButtonProps) {
  return (
    <button
      type="button"
      className={`button button-${look}`}
      disabled={isDisabled}
      aria-pressed={isPressed}
      aria-label={name}
      onClick={onPress}
    >
      {children}
      {keyHint === undefined ? null : <KeyHint keys={keyHint} />}
    </button>
  );
}

/** Looks like a button and leads to another place. */
export function LinkButton({
  to,
  children,
  look = 'plain',
}: {
  to: Route;
  children: ReactNode;
  look?: 'main' | 'plain' | 'quiet';
}) {
  return (
    <a className={`button button-${look}`} href={formatRoute(to)}>
      {children}
    </a>
  );
}

/** The key that does the same. */
export function KeyHint({ keys }: { keys: string }) {
  return <kbd className="key-hint">{keys}</kbd>;
}

interface NoticeProps {
  readonly tone: 'note' | 'caution' | 'failure' | 'done';
  readonly title?: string;
  readonly children: ReactNode;
  readonly action?: ReactNode;
}

const noticeMarks = { note: 'i', caution: '▲', failure: '■', done: '●' } as const;
const noticeWords = { note: 'Note', caution: 'Caution', failure: 'Not done', done: 'Done' } as const;

export function Notice({ tone, title, children, action }: NoticeProps) {
  return (
    <div className={`notice notice-${tone}`} role={tone === 'failure' ? 'alert' : 'note'}>
      <span className="notice-mark" aria-hidden="true">
        {noticeMarks[tone]}
      </span>
      <div className="notice-text">
        <strong>{title ?? noticeWords[tone]}</strong> <span>{children}</span>
      </div>
      {action}
    </div>
  );
}

interface ConfirmProps {
  readonly question: string;
  readonly consequence: string;
  /** Lists that belong to the consequence: what goes, what stays. */
  readonly children?: ReactNode;
  readonly confirmWord: string;
  readonly onConfirm: () => void;
  /** A second way to go on, where the question has two. */
  readonly other?: { readonly word: string; readonly onPress: () => void };
  readonly onCancel: () => void;
}

/** Asks before something that can't be taken back by one key. Never used while stamping. */
export function Confirm({ question, consequence, children, confirmWord, onConfirm, other, onCancel }: ConfirmProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  useEffect(() => {
    const element = dialog.current;
    element?.showModal();
    // A key pressed in haste must not confirm: the focus begins on the way out.
    element?.querySelector<HTMLElement>('.confirm-leave button')?.focus();
    return () => element?.close();
  }, []);
  return (
    <dialog
      ref={dialog}
      className="confirm"
      aria-labelledby={titleId}
      onCancel={(event) => {
        event.preventDefault();
        onCancel();
      }}
    >
      <h2 id={titleId}>{question}</h2>
      <p>{consequence}</p>
      {children}
      <div className="row">
        <Button look="main" onPress={onConfirm}>
          {confirmWord}
        </Button>
        {other === undefined ? null : <Button onPress={other.onPress}>{other.word}</Button>}
        <span className="confirm-leave">
          <Button onPress={onCancel} keyHint="Esc">
            Leave it as it is
          </Button>
        </span>
      </div>
    </dialog>
  );
}
