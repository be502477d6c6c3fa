import type { MissingPlace, MissingSize } from '../../core/mockup/measured-sizes.ts';
import { formatRoute, type MockUpPlace, mockUpPlaces, type Route } from '../state/route.ts';
import { LinkButton } from './controls.tsx';
import { EmptyState } from './states.tsx';

interface MissingListProps {
  readonly missing: readonly MissingSize[];
  readonly mockUpId: string;
  readonly buildId: string;
}

/** What is missing for some figures, each sentence with the way to where it is given. */
export function MissingList({ missing, mockUpId, buildId }: MissingListProps) {
  if (missing.length === 0) return null;
  return (
    <section className="panel" aria-label="Not worked out yet">
      <h2>Not worked out yet</h2>
      <ul className="missing-list">
        {missing.map(({ group, portId, sentence, where }) => {
          const { title, to } = wayTo(where, mockUpId, buildId);
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
export function NothingKnown({ title, first, missing, mockUpId, buildId }: NothingKnownProps) {
  const blocking = missing.find(({ group }) => group === 'everything');
  const way = wayTo(blocking?.where ?? 'bench', mockUpId, buildId);
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
      <MissingList missing={missing.filter((one) => one !== blocking)} mockUpId={mockUpId} buildId={buildId} />
    </div>
  );
}

/** Where a missing size is given. */
export function wayTo(where: MissingPlace, mockUpId: string, buildId: string): { title: string; to: Route } {
  const place = (wanted: string, title: string) => {
    const known = mockUpPlaces.find((one: MockUpPlace) => one === wanted) ?? 'overview';
    return { title, to: { screen: 'mock-up', mockUpId, place: known } as const };
  };
  switch (where) {
    case 'bench':
      return place('bench', 'To the bench');
    case 'checks':
      return place('checks', 'To the checks');
    case 'mock_up':
      return place('overview', 'To the mock-up');
    case 'engine':
    case 'barrel':
    case 'piston':
    case 'head':
      return { title: `To the ${where}`, to: { screen: 'build', buildId } };
  }
}
