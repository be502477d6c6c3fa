import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { TypedAngle, WheelReadingSetup, WheelSetup } from '../../core/contract/readings.ts';
import { contentJoined, contentOfRow, contentOfTypedSetup, type MovedPlace } from './bench-setup-rows.ts';
import type { Outbox } from './outbox.ts';

export interface TypedSetups {
  /** The set-up that a typed reading belongs to; made where there is none. */
  setupFor(known: MockUpWhole, reading: TypedAngle['reading']): string;
  /** The wheel was moved: each setting in use begins anew. */
  beginAnew(known: MockUpWhole): readonly MovedPlace[];
  /** Whether these places count on from the earlier ones after all. */
  joinPlaces(known: MockUpWhole, places: readonly MovedPlace[], isJoined: boolean): void;
}

/** Typed readings compare only on one setting of the wheel: another scale or sense begins a new one. */
export function createTypedSetups(client: Client, outbox: Outbox): TypedSetups {
  /** Latest made here, by setting: the host may not have told of them yet. */
  const made = new Map<string, Setting>();

  function make(mockUpId: string, reading: WheelReadingSetup): string {
    const id = newId();
    made.set(keyOf(reading), { id, reading });
    const content = contentOfTypedSetup(mockUpId, reading);
    outbox.put('The wheel setting', async () => {
      await client.call('setup.create', { id, content, pictures: [] });
    });
    return id;
  }

  const inUse = (known: MockUpWhole) =>
    new Map([...settingsOf(known.setups), ...made.values()].map((setting) => [keyOf(setting.reading), setting]));

  return {
    setupFor(known, reading) {
      return inUse(known).get(keyOf(reading))?.id ?? make(known.mockUp.id, reading);
    },
    beginAnew(known) {
      return [...inUse(known).values()].map(({ id, reading }) => ({
        setupId: make(known.mockUp.id, reading),
        earlierId: id,
        shownAtReferenceDeg: null,
      }));
    },
    joinPlaces(known, places, isJoined) {
      for (const place of places) {
        const setting = [...inUse(known).values(), ...settingsOf(known.setups)].find(({ id }) => id === place.setupId);
        if (setting === undefined) continue;
        const row = known.setups.find(({ id }) => id === place.setupId);
        const before = row === undefined ? contentOfTypedSetup(known.mockUp.id, setting.reading) : contentOfRow(row);
        const content = contentJoined(before, place, isJoined);
        outbox.put('The wheel setting', async () => {
          await client.call('setup.update', { id: place.setupId, content });
        });
      }
    },
  };
}

const keyOf = (reading: WheelReadingSetup): string => `${reading.scale} ${String(reading.growsForwards)}`;

/** A setting of the wheel that is read by eye. */
interface Setting {
  readonly id: string;
  readonly reading: WheelReadingSetup;
}

function settingsOf(setups: readonly WheelSetup[]): readonly Setting[] {
  return setups.flatMap(({ id, by, wheelReading }) =>
    by === 'typed' && wheelReading !== null ? [{ id, reading: wheelReading }] : [],
  );
}
