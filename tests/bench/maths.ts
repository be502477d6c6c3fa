import { crownAngleArea } from '../../core/area/angle-area.ts';
import { areaLawFromRoof, openAreaBy } from '../../core/area/window.ts';
import { crankFrom, depthAt } from '../../core/crank/geometry.ts';
import { plannedEffect, sizesAfter } from '../../core/planner/effects.ts';
import { mockUpFigures } from '../../core/planner/mock-up-figures.ts';
import { crownEventsAt } from '../../core/ports/edge-height.ts';
import { kartMockUp } from '../support/example-mock-up.ts';
import type { Bench } from './bench.ts';

/** Milliseconds a call, the median of several rounds; a first round warms the code up. */
function millisecondsEach(work: (round: number) => unknown, calls: number, rounds = 7): number {
  const times: number[] = [];
  let kept: unknown;
  for (let round = 0; round <= rounds; round++) {
    const start = performance.now();
    for (let call = 0; call < calls; call++) kept = work(call);
    if (round > 0) times.push((performance.now() - start) / calls);
  }
  // Using the last result keeps the engine from dropping the work altogether.
  if (kept === undefined) throw new Error('the work gave no result');
  return times.toSorted((a, b) => a - b)[Math.floor(times.length / 2)] as number;
}

const crank = crankFrom(kartMockUp.geometry);
const crownPorts = kartMockUp.ports.slice(0, 6).map((port) => ({
  law: areaLawFromRoof(port.window as NonNullable<typeof port.window>),
  depthMm: port.edgeDepthMm as number,
}));

/** The textbook way, for comparison: a sum over the whole turn in steps of 0.1 degree. */
function summedAngleAreas(): number {
  let sum = 0;
  for (const { law, depthMm } of crownPorts) {
    for (let step = 0; step < 3600; step++) sum += 0.1 * openAreaBy(law, depthAt(crank, step / 10) - depthMm);
  }
  return sum;
}

function integratedAngleAreas(): number {
  return crownPorts.reduce((sum, { law, depthMm }) => sum + crownAngleArea(crank, law, depthMm), 0);
}

const variants = 100_000;

/** Every event, blowdown, squish and ratio for each of many gaskets and cuts, without the area integrals. */
function whatIfSeconds(): number {
  const ports = kartMockUp.ports.map(({ window: _, ...port }) => port);
  const bare = { ...kartMockUp, bowlDiameterMm: undefined, ports };
  const start = performance.now();
  let checksum = 0;
  for (let variant = 0; variant < variants; variant++) {
    const change = { baseGasketChangeMm: (variant % 1000) / 2000, headCutMm: Math.floor(variant / 1000) / 500 };
    const figures = mockUpFigures(sizesAfter(bare, change));
    checksum += (figures.squishMm ?? 0) + (figures.blowdown?.blowdownDeg ?? 0) + (figures.trappedRatio ?? 0);
  }
  if (!Number.isFinite(checksum)) throw new Error('a variant gave no number');
  return (performance.now() - start) / 1000;
}

const bench: Bench = {
  name: 'maths',
  run: async () => {
    const events = millisecondsEach((call) => crownEventsAt(crank, 20 + (call % 100) / 10), 200_000);
    const summed = millisecondsEach(summedAngleAreas, 10);
    const integrated = millisecondsEach(integratedAngleAreas, 500);
    const whole = millisecondsEach(() => mockUpFigures(kartMockUp), 200);
    const effect = millisecondsEach((call) => plannedEffect(kartMockUp, { baseGasketChangeMm: call / 1e4 }), 200);
    const seconds = whatIfSeconds();
    return {
      figures: [
        { what: 'port events from a height', value: 1000 / events, unit: 'a second' },
        { what: 'time-area of 6 ports, sum at 0.1 deg', value: 1000 / summed, unit: 'a second' },
        { what: 'time-area of 6 ports, to 1e-9', value: 1000 / integrated, unit: 'a second' },
        {
          what: 'relative difference of the two',
          value: Math.abs(summedAngleAreas() / integratedAngleAreas() - 1),
          unit: '',
        },
        { what: 'whole mock-up of 8 ports', value: whole, unit: 'ms' },
        { what: 'whole mock-ups', value: 1000 / whole, unit: 'a second' },
        { what: 'plan, before and after, with areas', value: effect, unit: 'ms' },
        { what: `${variants} what-if variants`, value: seconds, unit: 's' },
        { what: 'what-if variants', value: variants / seconds, unit: 'a second' },
      ],
      limits: [{ what: 'whole mock-up of 8 ports, ms', value: whole, limit: 2, ok: whole < 2 }],
    };
  },
};

export default bench;
