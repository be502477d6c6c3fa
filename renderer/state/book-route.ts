import { type PartKind, partKindSchema } from '../../core/contract/parts.ts';

/** Places of the book beside its list of builds, in the order in which their bar lists them. */
export const bookPlaces = ['parts', 'customers', 'history', 'exchange', 'backups'] as const;
export type BookPlace = (typeof bookPlaces)[number];

/** Where the page is inside the book; every one of them leads back to the list of builds. */
export type BookRoute =
  | { readonly screen: 'parts' }
  | { readonly screen: 'part'; readonly partId: string }
  | { readonly screen: 'new-part'; readonly kind: PartKind }
  | { readonly screen: 'customers'; readonly customerId: string | null }
  /** Changes of one build, of one record, or of the whole book. */
  | { readonly screen: 'history'; readonly of: 'build' | 'record' | null; readonly id: string | null }
  | { readonly screen: 'exchange' }
  | { readonly screen: 'backups' };

const idShape = /^[0-9a-f-]{36}$/;

/** Reads what follows `#/book/`; null where it names no place of the book. */
export function parseBookRoute(second: string, third: string, fourth: string): BookRoute | null {
  switch (second) {
    case 'parts': {
      const kind = partKindSchema.safeParse(fourth);
      if (third === 'new' && kind.success) return { screen: 'new-part', kind: kind.data };
      return idShape.test(third) ? { screen: 'part', partId: third } : { screen: 'parts' };
    }
    case 'customers':
      return { screen: 'customers', customerId: idShape.test(third) ? third : null };
    case 'history': {
      const of = third === 'build' || third === 'record' ? third : null;
      return of !== null && idShape.test(fourth)
        ? { screen: 'history', of, id: fourth }
        : { screen: 'history', of: null, id: null };
    }
    case 'exchange':
      return { screen: 'exchange' };
    case 'backups':
      return { screen: 'backups' };
    default:
      return null;
  }
}

export function formatBookRoute(route: BookRoute): string {
  switch (route.screen) {
    case 'part':
      return `#/book/parts/${route.partId}`;
    case 'new-part':
      return `#/book/parts/new/${route.kind}`;
    case 'customers':
      return route.customerId === null ? '#/book/customers' : `#/book/customers/${route.customerId}`;
    case 'history':
      return route.of === null ? '#/book/history' : `#/book/history/${route.of}/${route.id ?? ''}`;
    case 'parts':
    case 'exchange':
    case 'backups':
      return `#/book/${route.screen}`;
  }
}

/** The place that a route belongs to, for the bar. */
export function bookPlaceOf(route: BookRoute): BookPlace {
  return route.screen === 'part' || route.screen === 'new-part' ? 'parts' : route.screen;
}

/** The first address of a place. */
export function routeOfPlace(place: BookPlace): BookRoute {
  switch (place) {
    case 'customers':
      return { screen: 'customers', customerId: null };
    case 'history':
      return { screen: 'history', of: null, id: null };
    default:
      return { screen: place };
  }
}
