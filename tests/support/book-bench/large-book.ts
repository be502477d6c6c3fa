import { v7 } from 'uuid';
import {
  buildContentSchema,
  customerContentSchema,
  mockUpContentSchema,
  partContentSchema,
} from '../../../core/contract/parts.ts';
import { readingContentSchema, wheelSetupContentSchema } from '../../../core/contract/readings.ts';
import { createEditable } from '../../../electron/database/editable.ts';
import { buildKind, customerKind, mockUpKind, partKind } from '../../../electron/database/kinds.ts';
import type { Book } from '../../../electron/database/open.ts';
import { keepPicture } from '../../../electron/database/pictures.ts';
import { addReading } from '../../../electron/database/readings.ts';
import { createSetup } from '../../../electron/database/setups.ts';
import { seededRandom } from '../archive-mutations.ts';

export interface BookSize {
  readonly builds: number;
  readonly readingsInBuild: number;
  readonly picturesInBuild: number;
}

const words = [
  'winter',
  'summer',
  'fleet',
  'spare',
  'trial',
  'endurance',
  'sprint',
  'rebuild',
  'copper',
  'sleeve',
  'chrome',
  'iron',
];
/** A picture of a stamp, cropped and compressed, is a few kilobytes. */
const pictureBytes = 4000;
const jpegStart = [0xff, 0xd8, 0xff];
const buildsAtOnce = 250;

/** Fills a book through the same stores as the handlers; readings are stop contacts and port edges of the camera. */
export function fillLargeBook(
  book: Book,
  { builds, readingsInBuild, picturesInBuild }: BookSize,
  seed: number,
): string[] {
  const random = seededRandom(seed);
  const pick = <T>(values: readonly T[]): T => values[Math.floor(random() * values.length)] as T;
  const mockUpIds: string[] = [];
  // It begins as a JPEG does, or no import would take it; the rest is as random as a compressed picture.
  const noise = Array.from({ length: pictureBytes - jpegStart.length }, () => Math.floor(random() * 256));
  const base64 = Buffer.from([...jpegStart, ...noise]).toString('base64');
  const customers: string[] = [];
  const engines: string[] = [];
  book.write((writer) => {
    for (let count = 0; count < 200; count += 1) {
      customers.push(
        createEditable(writer, customerKind, customerContentSchema.parse({ name: `Customer ${count} ${pick(words)}` }))
          .id,
      );
      engines.push(
        createEditable(
          writer,
          partKind,
          partContentSchema.parse({
            kind: 'engine',
            name: `Engine ${count} ${pick(words)}`,
            data: { strokeMm: 54.5, rodLengthMm: 110 },
          }),
        ).id,
      );
    }
  });
  for (let done = 0; done < builds; done += buildsAtOnce) {
    book.write((writer) => {
      for (let count = done; count < Math.min(builds, done + buildsAtOnce); count += 1) {
        const engineId = pick(engines);
        const barrel = createEditable(
          writer,
          partKind,
          partContentSchema.parse({
            kind: 'barrel',
            name: `Barrel ${count}`,
            marks: `cast ${count % 97}`,
            data: {
              boreMm: 53.6,
              ports: [
                { portId: 'exhaust', kind: 'exhaust', label: 'Exhaust' },
                { portId: 'transfers', kind: 'transfer_main', label: 'Transfers', windowCount: 4 },
              ],
            },
          }),
        );
        const build = createEditable(
          writer,
          buildKind,
          buildContentSchema.parse({
            title: `Job ${count} ${pick(words)} ${pick(words)}`,
            jobNumber: `J-${count}`,
            customerId: pick(customers),
            engineId,
            measuredBy: 'Bo',
          }),
        );
        const mockUp = createEditable(
          writer,
          mockUpKind,
          mockUpContentSchema.parse({ buildId: build.id, name: 'With 0.5 gasket', engineId, barrelId: barrel.id }),
        );
        mockUpIds.push(mockUp.id);
        const setupId = v7();
        createSetup(
          writer,
          setupId,
          wheelSetupContentSchema.parse({ mockUpId: mockUp.id, forwards: 'clockwise', by: 'camera' }),
          null,
        );
        for (let reading = 0; reading < readingsInBuild; reading += 1) {
          const pictureId = reading < picturesInBuild ? v7() : null;
          if (pictureId !== null)
            keepPicture(writer, { id: pictureId, mime: 'image/jpeg', widthPx: 320, heightPx: 240, bytes: base64 });
          addReading(
            writer,
            readingContentSchema.parse({
              id: v7(),
              mockUpId: mockUp.id,
              subject: {
                what: 'port_edge',
                portId: reading % 2 === 0 ? 'exhaust' : 'transfers',
                edge: reading % 4 < 2 ? 'opens' : 'closes',
                turning: reading % 8 < 4 ? 'forwards' : 'backwards',
                criterion: { kind: 'first_light' },
                angle: {
                  by: 'camera',
                  setupId,
                  rotationDeg: 91.6 + random(),
                  sigmaDeg: 0.05,
                  modulusDeg: 360,
                  provisional: false,
                },
              },
              signal: 'key',
              takenAt: '2026-03-01T10:00:00.000Z',
              pictureId,
            }),
          );
        }
      }
    });
  }
  return mockUpIds;
}
