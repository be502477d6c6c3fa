import type { SearchHit } from '../../core/contract/book-messages.ts';
import { formatRoute, type Route } from '../state/route.ts';

const entityTitles: Readonly<Record<SearchHit['entity'], string>> = {
  build: 'Build',
  mock_up: 'Mock-up',
  part: 'Part',
  customer: 'Customer',
};

/** Where a record that was found is looked at. */
export function routeOfHit({ entity, rowId }: SearchHit): Route {
  switch (entity) {
    case 'build':
      return { screen: 'build', buildId: rowId };
    case 'mock_up':
      return { screen: 'mock-up', mockUpId: rowId, place: 'overview' };
    case 'part':
      return { screen: 'part', partId: rowId };
    case 'customer':
      return { screen: 'customers', customerId: rowId };
  }
}

/** Records that were found, each leading to its own place. */
export function SearchHits({ hits }: { hits: readonly SearchHit[] }) {
  return (
    <ul className="search-hits">
      {hits.map((hit) => (
        <li key={hit.rowId}>
          <span className="search-hit-kind">{entityTitles[hit.entity]}</span>
          <a href={formatRoute(routeOfHit(hit))}>{hit.title === '' ? 'without a name' : hit.title}</a>
          {hit.excerpt.trim() === '' ? null : <span className="muted small">{hit.excerpt}</span>}
        </li>
      ))}
    </ul>
  );
}
