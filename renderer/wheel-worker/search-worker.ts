import type { WheelReading } from '../../core/wheel/types.ts';
import { type ToSearch, TurnSearch } from './turn-search.ts';

/** The part of the worker's global scope that is used; the page's type library has no worker scope. */
interface SearchDoor {
  postMessage(message: WheelReading | null): void;
  addEventListener(type: 'message', listener: (event: MessageEvent<ToSearch>) => void): void;
}
const door = globalThis as unknown as SearchDoor;
const search = new TurnSearch();

door.addEventListener('message', ({ data }) => {
  const reading = search.work(data);
  // A set-up needs no answer; every search gets one, or the next could never begin.
  if (data.kind === 'search') door.postMessage(reading);
});
