import { type IpcMainInvokeEvent, ipcMain } from 'electron';
import type { Dispatch } from '../../core/contract/dispatch.ts';
import type { Envelope } from '../../core/contract/envelope.ts';
import { isOwnAddress, pageOrigin } from './addresses.ts';
import { callChannel } from './channels.ts';

/** Is it the top frame of our own page that calls? */
function isOwnSender(event: IpcMainInvokeEvent): boolean {
  const frame = event.senderFrame;
  return frame !== null && frame.parent === null && frame.origin === pageOrigin && isOwnAddress(frame.url);
}

/** Passes calls of our own page to the one dispatch; strangers get a refusal and a line in the log. */
export function answerCalls(dispatch: Dispatch, log: (sentence: string) => void): void {
  ipcMain.handle(callChannel, async (event, name: unknown, input: unknown): Promise<Envelope<unknown>> => {
    if (!isOwnSender(event)) {
      log(`refused a call from ${String(event.senderFrame?.url).slice(0, 200)}`);
      return { ok: false, error: { code: 'forbidden', message: 'Only the own page may ask for this.' } };
    }
    return dispatch(name, input);
  });
}
