import { v7 } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { InputOf } from '../../core/contract/messages.ts';
import { anglesAtDepth, crankFrom } from '../../core/crank/geometry.ts';
import { wrapTurn } from '../../core/units.ts';

type Subject = InputOf<'reading.add'>['reading']['subject'];
type PortInput = NonNullable<Extract<InputOf<'part.create'>, { kind: 'barrel' }>['data']['ports']>[number];

export interface MeasuredMockUp {
  readonly name: string;
  readonly strokeMm: number;
  readonly rodLengthMm: number;
  readonly boreMm: number;
  readonly speedRpm: number;
  /** Ports that the crown opens, each with the depth at which its edges are read. */
  readonly ports: readonly (PortInput & { readonly depthMm: number })[];
  readonly squishMm?: number;
  readonly deckMm?: number;
  readonly baseGasketMm?: number;
  readonly specifications?: NonNullable<InputOf<'mockUp.create'>['specifications']>;
}

/** Wheel reading under the pointer at true TDC. */
const wheelAtTdcDeg = 100;
/** Depth at which the stop holds the piston. */
const stopDepthMm = 6;

/**
 * A mock-up of a new build with all edges read from the wheel, without any scatter: what follows from it is what follows
 * from the depths.
 * @returns ids of the build and of the mock-up
 */
export async function makeMeasuredMockUp(
  client: Client,
  given: MeasuredMockUp,
): Promise<{ buildId: string; mockUpId: string }> {
  const { strokeMm, rodLengthMm, boreMm, speedRpm } = given;
  const engine = await client.call('part.create', {
    kind: 'engine',
    name: `Engine of ${given.name}`,
    data: { strokeMm, rodLengthMm, speedRpm, ignitionAdvanceDeg: 18 },
  });
  const ports = given.ports.map(({ depthMm: _, ...port }) => port);
  const barrel = await client.call('part.create', {
    kind: 'barrel',
    name: `Barrel of ${given.name}`,
    data: { boreMm, ports },
  });
  const build = await client.call('build.create', { title: `Build of ${given.name}`, engineId: engine.id });
  const mockUp = await client.call('mockUp.create', {
    buildId: build.id,
    name: given.name,
    engineId: engine.id,
    barrelId: barrel.id,
    baseGasketMm: given.baseGasketMm ?? null,
    specifications: given.specifications ?? [],
  });
  const setup = await client.call('setup.create', {
    id: v7(),
    content: {
      mockUpId: mockUp.id,
      forwards: 'clockwise',
      by: 'typed',
      wheelReading: { scale: '0-360', growsForwards: true },
    },
  });
  const add = (subject: Subject) =>
    client.call('reading.add', {
      reading: { id: v7(), mockUpId: mockUp.id, subject, signal: 'typed', takenAt: '2026-03-01T10:00:00.000Z' },
    });
  const angle = (crankDeg: number): Extract<Subject, { what: 'port_edge' }>['angle'] => {
    const wheelReadingDeg = wrapTurn(crankDeg + wheelAtTdcDeg);
    return {
      by: 'typed',
      setupId: setup.id,
      typedText: wheelReadingDeg.toFixed(2),
      wheelReadingDeg,
      reading: { scale: '0-360', growsForwards: true },
      resolutionDeg: 0.25,
    };
  };
  const crank = crankFrom({ strokeMm, rodLengthMm });
  const stop = anglesAtDepth(crank, stopDepthMm);
  await add({ what: 'stop_contact', turning: 'forwards', angle: angle(-stop.upBtdcDeg) });
  await add({ what: 'stop_contact', turning: 'backwards', angle: angle(stop.downAtdcDeg) });
  for (const { portId, depthMm } of given.ports) {
    const { downAtdcDeg, upBtdcDeg } = anglesAtDepth(crank, depthMm);
    for (const turning of ['forwards', 'backwards'] as const) {
      const edge = (name: 'opens' | 'closes', crankDeg: number) =>
        add({
          what: 'port_edge',
          portId,
          edge: name,
          turning,
          criterion: { kind: 'first_light' },
          angle: angle(crankDeg),
        });
      await edge('opens', downAtdcDeg);
      await edge('closes', 360 - upBtdcDeg);
    }
  }
  const quantity = (name: string, position: string, value: number) =>
    add({ what: 'quantity', quantity: name, position, value, unit: 'mm', typedText: String(value), resolution: 0.01 });
  if (given.squishMm !== undefined) {
    for (const position of ['0', '90', '180', '270']) await quantity('squish', position, given.squishMm);
  }
  if (given.deckMm !== undefined) {
    for (const position of ['drive_side', 'ignition_side']) await quantity('deck', position, given.deckMm);
  }
  return { buildId: build.id, mockUpId: mockUp.id };
}
