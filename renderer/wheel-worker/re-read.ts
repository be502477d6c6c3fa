import type { GreyPicture, WheelReader, WheelSetup } from '../../core/wheel/types.ts';
import type { FromWorker, ToWorker } from './messages.ts';

interface ReReadTools {
  readonly reader: Pick<WheelReader, 'readFrame' | 'restoreSetup'>;
  greyOfPicture(picture: Blob, isMirrored: boolean): Promise<GreyPicture>;
}

/**
 * Reads a kept picture once more, with the set-up that came with it or, without one, with the present one.
 * @returns the answer; without a reading it says why
 */
export async function reRead(
  { reader, greyOfPicture }: ReReadTools,
  present: WheelSetup | null,
  { requestId, picture, isMirrored, state }: Extract<ToWorker, { kind: 're_read' }>,
): Promise<FromWorker> {
  const answer = { kind: 're_read_done', requestId } as const;
  const setup = state === null ? present : reader.restoreSetup(state);
  if (setup === null) return { ...answer, reading: null, detail: 'There is no set-up to read it with.' };
  try {
    const grey = await greyOfPicture(picture, isMirrored);
    return { ...answer, reading: reader.readFrame(setup, grey, { effort: 'full', previous: null }), detail: '' };
  } catch (error) {
    return { ...answer, reading: null, detail: error instanceof Error ? error.message : String(error) };
  }
}
