import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { AngleReading, CameraAngle, Reading, ReadingContent, Signal } from '../../core/contract/readings.ts';
import type { Stamp } from '../../core/mockup/stamps.ts';
import { refusalText } from '../../core/wheel/refusals.ts';
import type { RefusalReason } from '../../core/wheel/types.ts';
import type { AcceptedStamp } from '../wheel-worker/messages.ts';
import type { BenchPictures } from './bench-pictures.ts';
import { angleOf, type BenchNotice, cameraAngle, reReadAngle, toReRead, withAngle } from './bench-run.ts';
import { sharesReference } from './bench-sight.ts';
import type { Sight } from './bench-sight-effects.ts';
import { fromBase64 } from './bytes-text.ts';
import { localReading } from './local-rows.ts';
import type { Outbox } from './outbox.ts';
import { sentenceOf } from './sentence-of.ts';

interface RefinerTools {
  readonly client: Client;
  readonly outbox: Outbox;
  readonly sight: Sight;
  readonly pictures: BenchPictures;
  stamps(): Stamp[];
  /** Milliseconds since the epoch on the performance clock. */
  nowMs(): number;
  put(reading: Reading): void;
  flash(readingId: string): void;
  /** What a stamp of a while ago came to: no answer to what the operator does now. */
  tell(news: BenchNotice | null): void;
}

/** Better values for stamps that were taken already: each supersedes the one before, visibly. */
export interface Refiner {
  /** The frames that followed the signal are known by now. */
  refine(stampId: string, angle: AcceptedStamp): void;
  /** The model of the turn is complete. */
  reReadProvisional(): Promise<void>;
  /** The angle of the stamp as its kept picture tells it now, or why there is none. */
  readAgain(stamp: Stamp): Promise<CameraAngle | RefusalReason>;
  storeReRead(stamp: Stamp, angle: CameraAngle): void;
}

export function createRefiner(tools: RefinerTools): Refiner {
  const { client, outbox, sight, pictures, stamps, nowMs, put, flash, tell } = tools;

  function refine(stampId: string, angle: AcceptedStamp): void {
    const stamp = stamps().find((one) => one.root.id === stampId);
    const { setup } = sight.store.getState();
    if (stamp === undefined || setup === null || stamp.struck) return;
    const now = angleOf(stamp.current);
    if (now?.by !== 'camera' || !sharesReference(setup, now.setupId)) return;
    supersede(
      stamp,
      // It stays in the place that it was taken in, if the wheel was moved since.
      cameraAngle(now.setupId, angle),
      stamp.current.signal,
      angle.motion === 'steady'
        ? `Refined from ${angle.frames} frames of the steady stretch around the signal.`
        : 'Placed again between the frames beside the signal: the crank was turning.',
    );
  }

  /** Stamps of before the turn get their value from the rigid model, read from their own pictures. */
  async function reReadProvisional(): Promise<void> {
    const { setup } = sight.store.getState();
    if (setup === null) return;
    tell(null);
    for (const stamp of toReRead(stamps(), setup)) {
      if (stamp.current.pictureId === null) continue;
      try {
        const angle = await readAgain(stamp);
        if (typeof angle !== 'string') storeReRead(stamp, angle);
        else {
          const { what, remedy } = refusalText(angle);
          tell({ tone: 'note', sentence: `A stamp of before the turn stays provisional. ${what}`, remedy });
        }
      } catch (error) {
        tell({
          tone: 'note',
          sentence: `A stamp of before the turn stays provisional. ${sentenceOf(error)}`,
          remedy: '',
        });
      }
    }
  }

  function storeReRead(stamp: Stamp, angle: CameraAngle): void {
    supersede(stamp, angle, 're_read', 'Read again from its kept picture with the model of the whole turn.');
  }

  function supersede(stamp: Stamp, angle: AngleReading, by: Signal, reason: string): void {
    const { workplaceId: _workplace, createdAt: _time, ...before } = stamp.current;
    const content: ReadingContent = {
      ...before,
      id: newId(),
      subject: withAngle(before.subject, angle),
      signal: by,
      supersedesId: before.id,
      supersedesReason: reason,
    };
    put({ ...localReading(content), createdAt: new Date(nowMs()).toISOString() });
    flash(stamp.root.id);
    outbox.put('A refined value', async () => {
      await client.call('reading.add', { reading: content, pictures: [] });
    });
  }

  async function readAgain(stamp: Stamp): Promise<CameraAngle | RefusalReason> {
    const angle = angleOf(stamp.current);
    const { pictureId } = stamp.current;
    if (angle?.by !== 'camera' || pictureId === null) throw new Error('This reading has no picture of the wheel.');
    const reading = await sight.reRead(await pictures.get(pictureId), await stateFor(angle));
    return reading.accepted ? reReadAngle(angle, reading) : reading.reason;
  }

  /** The set-up to read the picture of a stamp with; null for the one in use. */
  async function stateFor({ setupId }: CameraAngle): Promise<Uint8Array | null> {
    const { setup } = sight.store.getState();
    if (setup !== null && sharesReference(setup, setupId)) return null;
    const { readerState } = await client.call('setup.readerState', { id: setupId });
    if (readerState !== null) return fromBase64(readerState);
    throw new Error('The set-up of this stamp was not kept, so its picture can’t be read again.');
  }

  return { refine, reReadProvisional, readAgain, storeReRead };
}
