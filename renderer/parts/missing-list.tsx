import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { MissingPlace, MissingSize } from '../../core/mockup/measured-sizes.ts';
import { formatRoute, type MockUpPlace, type Route } from '../state/route.ts';
import { LinkButton } from './controls.tsx';
import { EmptyState } from './states.tsx';

interface MissingListProps {
  readonly missing: readonly MissingSize[];
  readonly whole: MockUpWhole;
}

/** What is missing for some figures, each sentence with the way to where it is given. */
export function MissingList({ missing, whole }: MissingListProps) {
  if (missing.length === 0) return null;
  return (
    <section className="panel" aria-label="Not worked out yet">
      <h2>Not worked out yet</h2>
      <ul className="missing-list">
        {missing.map(({ group, portId, sentence, where }) => {
          const { title, to } = wayTo(where, whole);
          return (
            <li key={`${group} ${portId ?? ''} ${sentence}`}>
              <span>{sentence}</span> <a href={formatRoute(to)}>{title}</a>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

interface NothingKnownProps extends MissingListProps {
  readonly title: string;
  /** What to do first where nothing stands in the way of everything. */
  readonly first: string;
}

/** A screen that has nothing to work with yet: what to do first, then everything that is missing. */
export function NothingKnown({ title, first, missing, whole }: NothingKnownProps) {
  const blocking = missing.find(({ group }) => group === 'everything');
  const way = wayTo(blocking?.where ?? 'bench', whole);
  return (
    <div className="desk">
      <EmptyState
        isScreen
        title={title}
        actions={
          <LinkButton look="main" to={way.to}>
            {way.title}
          </LinkButton>
        }
      >
        <p>{blocking?.sentence ?? first}</p>
      </EmptyState>
      <MissingList missing={missing.filter((one) => one !== blocking)} whole={whole} />
    </div>
  );
}

/** Where a missing size is given. A part that the mock-up doesn't name yet is chosen at the mock-up first. */
export function wayTo(where: MissingPlace, whole: MockUpWhole): { title: string; to: Route } {
  const place = (title: string, known: MockUpPlace) => ({
    title,
    to: { screen: 'mock-up', mockUpId: whole.mockUp.id, place: known } as const,
  });
  switch (where) {
    case 'bench':
      return place('To the bench', 'bench');
    case 'checks':
      return place('To the checks', 'checks');
    case 'mock_up':
      return place('To the mock-up', 'overview');
    case 'engine':
    case 'barrel':
    case 'piston':
    case 'head': {
      const part = whole[where];
      return part === null
        ? place(`Choose the ${where} at the mock-up`, 'overview')
        : { title: `To the ${where}`, to: { screen: 'part', partId: part.id } };
    }
  }
}
