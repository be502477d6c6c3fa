import type { JudgedKind } from '../../core/mockup/judge.ts';

/** Verdicts as core names them, and two states that come before one. */
export type VerdictKind = JudgedKind;

export const verdictWords: Readonly<Record<VerdictKind, string>> = {
  conforming: 'conforms',
  not_conforming: 'does not conform',
  cannot_be_decided: "can't be decided",
  no_limits: 'no limits given',
  not_measured: 'not measured',
};

/** Word and shape: disc, square on its corner, open ring; colour only repeats it. */
export function Verdict({ kind, note }: { kind: VerdictKind; note?: string | null }) {
  return (
    <span className={`verdict verdict-${kind}`}>
      <VerdictMark kind={kind} />
      <span>{verdictWords[kind]}</span>
      {note === undefined || note === null || note === '' ? null : <span className="verdict-note">{note}</span>}
    </span>
  );
}

export function VerdictMark({ kind }: { kind: VerdictKind }) {
  return (
    <svg className="verdict-mark" viewBox="0 0 16 16" width="14" height="14" aria-hidden="true">
      {markOf(kind)}
    </svg>
  );
}

function markOf(kind: VerdictKind) {
  switch (kind) {
    case 'conforming':
      return <circle cx="8" cy="8" r="6" fill="currentColor" />;
    case 'not_conforming':
      return <path d="M8 0.8 15.2 8 8 15.2 0.8 8Z" fill="currentColor" />;
    case 'cannot_be_decided':
      return (
        <circle cx="8" cy="8" r="5.2" fill="none" stroke="currentColor" strokeWidth="2" strokeDasharray="4.1 2.4" />
      );
    case 'no_limits':
      return <path d="M2 8H14" stroke="currentColor" strokeWidth="2" />;
    case 'not_measured':
      return <circle cx="8" cy="8" r="2" fill="currentColor" />;
  }
}
