import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { TypedAngle, WheelReadingSetup, WheelSetup } from '../../core/contract/readings.ts';
import { contentOfTypedSetup } from './bench-setup-rows.ts';
import type { Outbox } from './outbox.ts';

export interface TypedSetups {
  /** The set-up that a typed reading belongs to; made where there is none. */
  setupFor(known: MockUpWhole, reading: TypedAngle['reading']): string;
  /** The wheel was moved: each setting in use begins anew. */
  beginAnew(known: MockUpWhole): void;
}

/** Typed readings compare only on one setting of the wheel: another scale or sense begins a new one. */
export function createTypedSetups(client: Client, outbox: Outbox): TypedSetups {
  /** Latest made here, by setting: the host may not have told of them yet. */
  const made = new Map<string, string>();

  function make(mockUpId: string, reading: WheelReadingSetup): string {
    const id = newId();
    made.set(keyOf(reading), id);
    const content = contentOfTypedSetup(mockUpId, reading);
    outbox.put('The wheel setting', async () => {
      await client.call('setup.create', { id, content, pictures: [] });
    });
    return id;
  }

  return {
    setupFor(known, reading) {
      const kept = latestBySetting(known.setups).get(keyOf(reading));
      return made.get(keyOf(reading)) ?? kept?.setup.id ?? make(known.mockUp.id, reading);
    },
    beginAnew(known) {
      for (const { reading } of latestBySetting(known.setups).values()) make(known.mockUp.id, reading);
    },
  };
}

const keyOf = (reading: WheelReadingSetup): string => `${reading.scale} ${String(reading.growsForwards)}`;

function latestBySetting(setups: readonly WheelSetup[]) {
  return new Map(
    setups.flatMap((setup) =>
      setup.by === 'typed' && setup.wheelReading !== null
        ? [[keyOf(setup.wheelReading), { setup, reading: setup.wheelReading }] as const]
        : [],
    ),
  );
}
