import { useEffect } from 'react';
import { type BookPlace, bookPlaces, routeOfPlace } from '../state/book-route.ts';
import { formatRoute, type Route } from '../state/route.ts';
import { navigate } from '../state/services.ts';
import { isTyping } from './keyboard.ts';

/** The one name of each place of the book, everywhere. */
export const bookPlaceTitles: Readonly<Record<BookPlace, string>> = {
  parts: 'Parts',
  customers: 'Customers',
  history: 'History',
  exchange: 'Exchange',
  backups: 'Backups and help',
};

const places: readonly { readonly title: string; readonly place: BookPlace | null; readonly to: Route }[] = [
  { title: 'Builds', place: null, to: { screen: 'book' } },
  ...bookPlaces.map((place) => ({ title: bookPlaceTitles[place], place, to: routeOfPlace(place) })),
];

/** Every place of the book, one key apart. `place` is null on the list of builds. */
export function BookBar({ place }: { place: BookPlace | null }) {
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
      const target = /^[1-9]$/.test(event.key) ? places[Number(event.key) - 1] : undefined;
      if (target !== undefined) navigate(target.to);
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, []);
  return (
    <nav className="book-bar" aria-label="Places of the book">
      {places.map((one, index) => (
        <a key={one.title} href={formatRoute(one.to)} aria-current={one.place === place ? 'page' : undefined}>
          <span className="place-key" aria-hidden="true">
            {index + 1}
          </span>
          {one.title}
        </a>
      ))}
    </nav>
  );
}
