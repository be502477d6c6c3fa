import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { TypedAngle } from '../../core/contract/readings.ts';
import { contentOfTypedSetup } from './bench-setup-rows.ts';
import type { Outbox } from './outbox.ts';

/**
 * Typed readings compare only on one setting of the wheel: another scale or sense begins a new one.
 * @returns finds the set-up of a typed reading, or makes it
 */
export function createTypedSetups(
  client: Client,
  outbox: Outbox,
): (known: MockUpWhole, reading: TypedAngle['reading']) => string {
  let made: { readonly id: string; readonly key: string } | null = null;
  return (known, reading) => {
    const key = `${reading.scale} ${String(reading.growsForwards)}`;
    const kept = known.setups.findLast(
      (setup) =>
        setup.by === 'typed' &&
        setup.wheelReading !== null &&
        `${setup.wheelReading.scale} ${String(setup.wheelReading.growsForwards)}` === key,
    );
    if (kept !== undefined) return kept.id;
    if (made?.key === key) return made.id;
    const id = newId();
    made = { id, key };
    const content = contentOfTypedSetup(known.mockUp.id, reading);
    outbox.put('The wheel setting', async () => {
      await client.call('setup.create', { id, content, pictures: [] });
    });
    return id;
  };
}
