import { type StepId, stepIds } from '../../core/mockup/step-shape.ts';
import { type BookRoute, formatBookRoute, parseBookRoute } from './book-route.ts';

/** Places inside one mock-up, in the order in which the bar lists them. */
export const mockUpPlaces = ['overview', 'set-up', 'bench', 'checks', 'ports', 'plan', 'sheets'] as const;
export type MockUpPlace = (typeof mockUpPlaces)[number];

/** Where the page is. The address after the hash is the only record of it, so a reload stays in place. */
export type Route =
  | { readonly screen: 'book' }
  | BookRoute
  | { readonly screen: 'new-build' }
  | { readonly screen: 'build'; readonly buildId: string }
  | {
      readonly screen: 'mock-up';
      readonly mockUpId: string;
      readonly place: MockUpPlace;
      /** The card of Checks to open; the next one that is open where absent. */
      readonly step?: StepId;
    }
  | { readonly screen: 'compare'; readonly mockUpIds: readonly string[] }
  | { readonly screen: 'instruments' }
  | { readonly screen: 'preferences' }
  | { readonly screen: 'help'; readonly page: string };

const idShape = /^[0-9a-f-]{36}$/;

/** Reads an address such as `#/mock-up/ID/set-up`; anything unknown leads to the book. */
export function parseRoute(hash: string): Route {
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split('?');
  const [first = '', second = '', third = '', fourth = ''] = path.split('/').map(decodePart);
  switch (first) {
    case 'book':
      return parseBookRoute(second, third, fourth) ?? { screen: 'book' };
    case 'new-build':
      return { screen: 'new-build' };
    case 'build':
      return idShape.test(second) ? { screen: 'build', buildId: second } : { screen: 'book' };
    case 'mock-up': {
      if (!idShape.test(second)) return { screen: 'book' };
      const place = mockUpPlaces.find((known) => known === third) ?? 'overview';
      const step = place === 'checks' ? stepIds.find((known) => known === fourth) : undefined;
      return { screen: 'mock-up', mockUpId: second, place, ...(step === undefined ? {} : { step }) };
    }
    case 'compare': {
      const ids = new URLSearchParams(query).get('of')?.split(',') ?? [];
      return { screen: 'compare', mockUpIds: ids.filter((id) => idShape.test(id)) };
    }
    case 'instruments':
      return { screen: 'instruments' };
    case 'preferences':
      return { screen: 'preferences' };
    case 'help':
      return { screen: 'help', page: second };
    default:
      return { screen: 'book' };
  }
}

/** The address of a route; `parseRoute(formatRoute(r))` is `r` again. */
export function formatRoute(route: Route): string {
  switch (route.screen) {
    case 'book':
      return '#/book';
    case 'parts':
    case 'part':
    case 'new-part':
    case 'customers':
    case 'history':
    case 'exchange':
    case 'backups':
      return formatBookRoute(route);
    case 'new-build':
      return '#/new-build';
    case 'build':
      return `#/build/${route.buildId}`;
    case 'mock-up':
      if (route.place === 'overview') return `#/mock-up/${route.mockUpId}`;
      return `#/mock-up/${route.mockUpId}/${route.place}${
        route.place === 'checks' && route.step !== undefined ? `/${route.step}` : ''
      }`;
    case 'compare':
      return route.mockUpIds.length === 0 ? '#/compare' : `#/compare?of=${route.mockUpIds.join(',')}`;
    case 'instruments':
      return '#/instruments';
    case 'preferences':
      return '#/preferences';
    case 'help':
      return route.page === '' ? '#/help' : `#/help/${encodeURIComponent(route.page)}`;
  }
}

/**
 * The one way back: from a place of a mock-up to the mock-up, from there to its build, then to the book.
 * @param buildId build that the shown mock-up belongs to, where known
 * @returns null in the book, which is the top
 */
export function wayBack(route: Route, buildId: string | null): Route | null {
  switch (route.screen) {
    case 'book':
      return null;
    case 'mock-up':
      if (route.place !== 'overview') return { ...route, place: 'overview' };
      return buildId === null ? { screen: 'book' } : { screen: 'build', buildId };
    case 'part':
    case 'new-part':
      return { screen: 'parts' };
    case 'history':
      return route.of === 'build' && route.id !== null ? { screen: 'build', buildId: route.id } : { screen: 'book' };
    case 'help':
      return route.page === '' ? { screen: 'book' } : { screen: 'help', page: '' };
    default:
      return { screen: 'book' };
  }
}

/** Bench screens are read from three metres away in a dim shop; all others are desk screens. */
export function isBenchScreen(route: Route): boolean {
  return route.screen === 'mock-up' && (route.place === 'bench' || route.place === 'set-up');
}

function decodePart(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    // A broken escape in a typed address is no fault of ours: it just names no known place.
    return '';
  }
}
