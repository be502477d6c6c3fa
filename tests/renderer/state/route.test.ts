import { describe, expect, it } from 'vitest';
import {
  formatRoute,
  isBenchScreen,
  mockUpPlaces,
  parseRoute,
  type Route,
  wayBack,
} from '../../../renderer/state/route.ts';

const id = '0193a5b2-7c1d-7000-8000-000000000001';
const routes: Route[] = [
  { screen: 'book' },
  { screen: 'new-build' },
  { screen: 'build', buildId: id },
  ...mockUpPlaces.map((place): Route => ({ screen: 'mock-up', mockUpId: id, place })),
  { screen: 'mock-up', mockUpId: id, place: 'checks', step: 'squish' },
  { screen: 'compare', mockUpIds: [] },
  { screen: 'compare', mockUpIds: [id, id] },
  { screen: 'instruments' },
  { screen: 'preferences' },
  { screen: 'help', page: '' },
  { screen: 'help', page: 'first-job' },
];

describe('an address', () => {
  it.each(routes)('leads back to the route that it was made from: %o', (route) => {
    expect(parseRoute(formatRoute(route))).toEqual(route);
  });

  it.each(['', '#', '#/nowhere', '#/build/../../etc', '#/mock-up/', '#/mock-up/%E0%A4%A', '#/build/1'])(
    'that is unknown or broken (%s) leads to the book',
    (hash) => {
      expect(parseRoute(hash)).toEqual({ screen: 'book' });
    },
  );
});

describe('the way back', () => {
  it.each(routes)('ends in the book after at most three steps from %o', (start) => {
    let route: Route | null = start;
    for (let step = 0; step < 3 && route !== null && route.screen !== 'book'; step += 1) route = wayBack(route, id);
    expect(route).toEqual({ screen: 'book' });
  });

  it('does not lead out of the book', () => {
    expect(wayBack({ screen: 'book' }, null)).toBeNull();
  });
});

it('only the bench and the set-up are bench screens', () => {
  const places = routes.filter(isBenchScreen).map((route) => (route.screen === 'mock-up' ? route.place : route.screen));
  expect(places).toEqual(['set-up', 'bench']);
});
