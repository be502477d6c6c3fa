import { v7 } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { InputOf } from '../../core/contract/messages.ts';

/** Engine, barrel, build and mock-up: what a reading needs. */
export async function makeMockUp(client: Client, title = 'Job 1') {
  const engine = await client.call('part.create', {
    kind: 'engine',
    name: 'Engine 1',
    data: { strokeMm: 54.5, rodLengthMm: 110 },
  });
  const barrel = await client.call('part.create', {
    kind: 'barrel',
    name: 'Barrel 1',
    data: { boreMm: 53.6, ports: [{ portId: 'exhaust', kind: 'exhaust', label: 'Exhaust', widthMm: 37.2 }] },
  });
  const customer = await client.call('customer.create', { name: 'Ada Quill', contact: 'quill@example.org' });
  const build = await client.call('build.create', { title, customerId: customer.id, engineId: engine.id });
  const mockUp = await client.call('mockUp.create', {
    buildId: build.id,
    name: 'With 0.5 gasket',
    engineId: engine.id,
    barrelId: barrel.id,
  });
  return { engine, barrel, customer, build, mockUp };
}

type ReadingInput = InputOf<'reading.add'>['reading'];

/** A reading of a hand instrument; needs no set-up. */
export function quantityReading(mockUpId: string, value: number, more: Partial<ReadingInput> = {}): ReadingInput {
  return {
    id: v7(),
    mockUpId,
    subject: {
      what: 'quantity',
      quantity: 'ring_end_gap',
      value,
      unit: 'mm',
      typedText: String(value),
      resolution: 0.01,
    },
    signal: 'typed',
    takenAt: '2026-03-01T10:00:00.000Z',
    ...more,
  };
}

/** Smallest picture that is a real JPEG, one grey pixel. */
export const onePixelJpeg =
  '/9j/4AAQSkZJRgABAQEASABIAAD/2wBDAAgGBgcGBQgHBwcJCQgKDBQNDAsLDBkSEw8UHRofHh0aHBwgJC4nICIsIxwcKDcpLDAxNDQ0Hyc5PTgyPC4zNDL/wAALCAABAAEBAREA/8QAFAABAAAAAAAAAAAAAAAAAAAACf/EABQQAQAAAAAAAAAAAAAAAAAAAAD/2gAIAQEAAD8AVN//2Q==';
