import { useEffect } from 'react';
import { bookPlaceOf } from '../state/book-route.ts';
import { formatRoute, type MockUpPlace, mockUpPlaces, type Route, wayBack } from '../state/route.ts';
import { navigate } from '../state/services.ts';
import { bookPlaceTitles } from './book-bar.tsx';
import { isTyping } from './keyboard.ts';

/** The one name of each place, everywhere. */
export const placeTitles: Readonly<Record<MockUpPlace, string>> = {
  overview: 'Mock-up',
  'set-up': 'Set-up',
  bench: 'Bench',
  checks: 'Checks',
  ports: 'Ports',
  plan: 'Plan',
  sheets: 'Sheets',
};

interface TopBarProps {
  readonly route: Route;
  /** Names of the open build and mock-up, where there is one. */
  readonly buildTitle: string | null;
  readonly buildId: string | null;
  readonly mockUpName: string | null;
}

/** Always says where the page is, leads back by one key, and to every place of the open mock-up by one more. */
export function TopBar({ route, buildTitle, buildId, mockUpName }: TopBarProps) {
  const back = wayBack(route, buildId);
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === 'Escape') {
        // In a field the first press only leaves the field: what was typed there must not be lost to a slip.
        if (isTyping(event.target)) {
          if (event.target instanceof HTMLElement) event.target.blur();
          return;
        }
        const target = wayBack(route, buildId);
        if (target !== null) navigate(target);
        return;
      }
      if (route.screen !== 'mock-up' || isTyping(event.target)) return;
      const place = mockUpPlaces[Number(event.key) - 1];
      if (/^[1-9]$/.test(event.key) && place !== undefined) navigate({ ...route, place });
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [route, buildId]);

  return (
    <header className="top-bar">
      <div className="top-bar-where">
        {back === null ? (
          <span className="top-bar-back" aria-hidden="true" />
        ) : (
          <a className="button button-quiet top-bar-back" href={formatRoute(back)}>
            Back <kbd className="key-hint">Esc</kbd>
          </a>
        )}
        <nav aria-label="Where you are">
          <ol className="crumbs">
            {crumbsOf(route, buildTitle, buildId, mockUpName).map((crumb, index, all) => (
              <li key={crumb.title}>
                {index === all.length - 1 || crumb.to === null ? (
                  <span aria-current="page">{crumb.title}</span>
                ) : (
                  <a href={formatRoute(crumb.to)}>{crumb.title}</a>
                )}
              </li>
            ))}
          </ol>
        </nav>
      </div>
      {route.screen === 'mock-up' ? (
        <nav className="places" aria-label="Places of this mock-up">
          {mockUpPlaces.map((place, index) => (
            <a
              key={place}
              href={formatRoute({ ...route, place })}
              aria-current={place === route.place ? 'page' : undefined}
            >
              <span className="place-key" aria-hidden="true">
                {index + 1}
              </span>
              {placeTitles[place]}
            </a>
          ))}
        </nav>
      ) : (
        <nav className="places" aria-label="Other places">
          <a href="#/book" aria-current={isInBook(route) ? 'page' : undefined}>
            Book
          </a>
          <a href="#/compare" aria-current={route.screen === 'compare' ? 'page' : undefined}>
            Compare
          </a>
          <a href="#/instruments" aria-current={route.screen === 'instruments' ? 'page' : undefined}>
            Instruments
          </a>
          <a href="#/preferences" aria-current={route.screen === 'preferences' ? 'page' : undefined}>
            Preferences
          </a>
          <a href="#/help" aria-current={route.screen === 'help' ? 'page' : undefined}>
            Help
          </a>
        </nav>
      )}
    </header>
  );
}

function isInBook(route: Route): boolean {
  return formatRoute(route).startsWith('#/book');
}

interface Crumb {
  readonly title: string;
  readonly to: Route | null;
}

function crumbsOf(
  route: Route,
  buildTitle: string | null,
  buildId: string | null,
  mockUpName: string | null,
): readonly Crumb[] {
  const book: Crumb = { title: 'Book', to: { screen: 'book' } };
  const build: Crumb = { title: buildTitle ?? 'Build', to: buildId === null ? null : { screen: 'build', buildId } };
  switch (route.screen) {
    case 'book':
      return [book];
    case 'parts':
    case 'customers':
    case 'history':
    case 'exchange':
    case 'backups':
      return [book, { title: bookPlaceTitles[bookPlaceOf(route)], to: null }];
    case 'part':
    case 'new-part':
      return [
        book,
        { title: bookPlaceTitles.parts, to: { screen: 'parts' } },
        { title: route.screen === 'part' ? 'Part' : 'New part', to: null },
      ];
    case 'new-build':
      return [book, { title: 'New build', to: null }];
    case 'build':
      return [book, build];
    case 'mock-up': {
      const mockUp: Crumb = { title: mockUpName ?? 'Mock-up', to: { ...route, place: 'overview' } };
      const here: Crumb = { title: placeTitles[route.place], to: null };
      return route.place === 'overview' ? [book, build, mockUp] : [book, build, mockUp, here];
    }
    case 'compare':
      return [book, { title: 'Compare', to: null }];
    case 'instruments':
      return [book, { title: 'Instruments', to: null }];
    case 'preferences':
      return [book, { title: 'Preferences', to: null }];
    case 'help':
      return [book, { title: 'Help', to: null }];
  }
}
