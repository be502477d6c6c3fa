const storageKey = 'portsight.token';

/**
 * Takes the host's token out of the address bar at start and keeps it for this tab alone, so that a reload works.
 * @returns an empty text where the page was opened without one; the host then refuses
 */
export function takeToken(
  location: Pick<Location, 'hash' | 'pathname' | 'search'>,
  history: Pick<History, 'replaceState'>,
  storage: Pick<Storage, 'getItem' | 'setItem'>,
): string {
  const fragment = new URLSearchParams(location.hash.replace(/^#/, ''));
  const given = fragment.get('token');
  if (given !== null && given !== '') {
    storage.setItem(storageKey, given);
    history.replaceState(null, '', location.pathname + location.search);
    return given;
  }
  return storage.getItem(storageKey) ?? '';
}
