import { v7 } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { InputOf } from '../../core/contract/messages.ts';
import { handReadings } from './hand-readings.ts';
import {
  type DemoMeasured,
  demoBarrelPart,
  demoBarrels,
  demoCustomer,
  demoEngine,
  demoGaskets,
  demoHead,
  demoLimits,
  demoPiston,
  exhaustPortId,
  transferPortId,
} from './scenario.ts';

type ReadingInput = InputOf<'reading.add'>['reading'];
type Subject = ReadingInput['subject'];

/** Wheel reading under the pointer at true TDC: the wheel of the demo is clamped on anyhow. */
const wheelAtTdcDeg = 112.5;
/** The stop holds the piston so far from TDC. */
const stopDeg = 31.5;
/** Slack of the demo's bearings between the two directions. */
const slackDeg = 0.5;
/** Readings are taken to the nearest half mark. */
const resolutionDeg = 0.5;
/** Placement of the two rounds, so that the repeats scatter as a hand does. */
const roundScatterDeg = [0, 0.5];

/**
 * Fills an empty book with the demo, through the same messages as the page sends.
 * @returns false where the book holds builds already: nothing is added then
 */
export async function loadDemo(client: Client, measuredBy = 'Demo workshop'): Promise<boolean> {
  const { total } = await client.call('book.list', { limit: 1 });
  if (total > 0) return false;
  const customer = await client.call('customer.create', demoCustomer);
  const engine = await client.call('part.create', demoEngine);
  const piston = await client.call('part.create', demoPiston);
  const head = await client.call('part.create', demoHead);
  const gaskets = [];
  for (const gasket of demoGaskets) gaskets.push(await client.call('part.create', gasket));
  const build = await client.call('build.create', {
    title: 'Hire karts, four barrels of one casting',
    jobNumber: 'D-001',
    customerId: customer.id,
    measuredBy,
    engineId: engine.id,
    notes:
      'Demo. The barrels came without papers: A, B and C are measured, D is yours to measure with the demo camera.',
  });
  for (const barrel of demoBarrels) {
    const part = await client.call('part.create', demoBarrelPart(barrel));
    const mockUp = await client.call('mockUp.create', {
      buildId: build.id,
      name: `${barrel.name} with 0.5 gasket`,
      engineId: engine.id,
      barrelId: part.id,
      pistonId: piston.id,
      headId: head.id,
      baseGasketId: gaskets[0]?.id ?? null,
      baseGasketMm: 0.45,
      headGasketId: gaskets[2]?.id ?? null,
      headGasketMm: 0.48,
      roomTemperatureC: 18,
      specifications: [...demoLimits],
    });
    const { measured } = barrel;
    if (measured === null) continue;
    const add = (subject: Subject) =>
      client.call('reading.add', {
        reading: {
          id: v7(),
          mockUpId: mockUp.id,
          subject,
          signal: 'typed',
          takenAt: new Date().toISOString(),
          measuredBy,
        },
      });
    await takeTiming(client, mockUp.id, measured, add);
    for (const subject of handReadings(barrel, measured)) await add(subject);
  }
  return true;
}

async function takeTiming(
  client: Client,
  mockUpId: string,
  measured: DemoMeasured,
  add: (subject: Subject) => Promise<unknown>,
): Promise<void> {
  const setup = await client.call('setup.create', {
    id: v7(),
    content: {
      mockUpId,
      name: 'Wheel read by eye',
      forwards: 'clockwise',
      by: 'typed',
      wheelReading: { scale: '0-360', growsForwards: true },
    },
  });
  const angle = (crankDeg: number): Extract<Subject, { what: 'port_edge' }>['angle'] => {
    const wheelReadingDeg = (((crankDeg + wheelAtTdcDeg) % 360) + 360) % 360;
    return {
      by: 'typed',
      setupId: setup.id,
      typedText: String(wheelReadingDeg),
      wheelReadingDeg,
      reading: { scale: '0-360', growsForwards: true },
      resolutionDeg,
    };
  };
  await add({ what: 'stop_contact', turning: 'forwards', angle: angle(-stopDeg) });
  await add({ what: 'stop_contact', turning: 'backwards', angle: angle(stopDeg) });
  const { exhaustOpensAtdcDeg, transfersOpenAtdcDeg } = measured;
  const edges = [
    { portId: exhaustPortId, edge: 'opens', atdcDeg: exhaustOpensAtdcDeg },
    { portId: transferPortId, edge: 'opens', atdcDeg: transfersOpenAtdcDeg },
    { portId: transferPortId, edge: 'closes', atdcDeg: 360 - transfersOpenAtdcDeg },
    { portId: exhaustPortId, edge: 'closes', atdcDeg: 360 - exhaustOpensAtdcDeg },
  ] as const;
  for (const scatterDeg of roundScatterDeg) {
    for (const turning of ['forwards', 'backwards'] as const) {
      for (const { portId, edge, atdcDeg } of turning === 'forwards' ? edges : edges.toReversed()) {
        const crankDeg = atdcDeg + scatterDeg + (turning === 'backwards' ? -slackDeg : 0);
        await add({
          what: 'port_edge',
          portId,
          edge,
          turning,
          criterion: { kind: 'first_light' },
          angle: angle(crankDeg),
        });
      }
    }
  }
}
