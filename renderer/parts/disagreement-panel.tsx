import type { Disagreement, PossibleCause } from '../../core/mockup/disagreement.ts';

const standingWords: Readonly<Record<PossibleCause['standing'], { readonly mark: string; readonly word: string }>> = {
  likely: { mark: '●', word: 'likely' },
  possible: { mark: '◐', word: 'possible' },
  against: { mark: '○', word: 'spoken against' },
};

/** What may be wrong where readings disagree, the likeliest first, each with the check that decides. */
export function DisagreementPanel({ disagreement }: { disagreement: Disagreement | null }) {
  if (disagreement === null) return null;
  const open = disagreement.causes.filter(({ standing }) => standing !== 'against');
  const against = disagreement.causes.filter(({ standing }) => standing === 'against');
  return (
    <section className="panel disagreement" aria-label="What may be wrong">
      <h3>What may be wrong</h3>
      <p>
        <strong>{disagreement.headline}</strong>
      </p>
      <ul className="causes">
        {open.map((cause) => (
          <Cause key={cause.kind} cause={cause} />
        ))}
      </ul>
      {against.length === 0 ? null : (
        <details>
          <summary>What these readings speak against ({against.length})</summary>
          <ul className="causes">
            {against.map((cause) => (
              <Cause key={cause.kind} cause={cause} />
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

function Cause({ cause }: { cause: PossibleCause }) {
  const { mark, word } = standingWords[cause.standing];
  return (
    <li data-testid={`cause-${cause.kind}`} data-standing={cause.standing}>
      <span aria-hidden="true">{mark}</span> <strong>{cause.title}</strong> <span className="muted">({word})</span>
      <p>{cause.evidence}</p>
      {cause.standing === 'against' ? null : <p>{cause.check}</p>}
    </li>
  );
}
