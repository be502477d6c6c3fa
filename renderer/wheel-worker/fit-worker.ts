import type { TurnRecord } from '../../core/wheel/types.ts';
import { type FittedTurn, fitRecord } from './turn-fitter.ts';

/** The part of the worker's global scope that is used; the page's type library has no worker scope. */
interface FitDoor {
  postMessage(message: FittedTurn, transfer: Transferable[]): void;
  addEventListener(type: 'message', listener: (event: MessageEvent<TurnRecord>) => void): void;
}
const door = globalThis as unknown as FitDoor;

door.addEventListener('message', ({ data }) => {
  const fitted = fitRecord(data);
  door.postMessage(fitted, [fitted.bytes.buffer as ArrayBuffer]);
});
