import { describe, expect, test } from 'vitest';
import { type Port, portSchema } from '../../../core/contract/parts.ts';
import { sideDifferences, sidePairs } from '../../../core/mockup/side-pairs.ts';
import type { SizesOfMockUp } from '../../../core/mockup/sizes.ts';
import { mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { kartMockUp } from '../../support/example-mock-up.ts';

const sideOf = (portId: string): Port['side'] =>
  portId.endsWith('-drive') ? 'drive_side' : portId.endsWith('-ignition') ? 'ignition_side' : 'none';
const ports = kartMockUp.ports.map(({ portId, kind }) =>
  portSchema.parse({ portId, kind, side: sideOf(portId), label: portId }),
);

const found: SizesOfMockUp = {
  sizes: kartMockUp,
  // The bore belongs to both sides, the heights to one each.
  uncertainties: { boreMm: 0.02, edgeDepthMm: { 'main-drive': 0.02, 'main-ignition': 0.02, 'secondary-drive': 0.02 } },
  edgeDepths: [],
  deckMm: null,
  missing: [],
  remarks: [],
};

describe('drive side against ignition side', () => {
  test('pairs ports of one kind, each side once', () => {
    expect(sidePairs(ports).map(({ drive, ignition }) => [drive.portId, ignition.portId])).toEqual([
      ['main-drive', 'main-ignition'],
      ['secondary-drive', 'secondary-ignition'],
    ]);
    const two = [
      ...ports,
      portSchema.parse({ portId: 'more', kind: 'transfer_main', side: 'drive_side', label: 'More' }),
    ];
    expect(sidePairs(two)).toHaveLength(2);
  });

  test('the drive side opens earlier by what its roof lies higher', () => {
    const [main] = sideDifferences(found, ports);
    const figures = mockUpFigures(kartMockUp).ports;
    const opens = (portId: string) => figures.find((port) => port.portId === portId)?.opensAtdcDeg ?? Number.NaN;
    const difference = main?.differences.get('opens')?.difference;
    expect(difference?.value).toBeCloseTo(opens('main-drive') - opens('main-ignition'), 10);
    expect(difference?.value).toBeLessThan(0);
    // 0.1 mm of height against 0.02 mm on either side: larger than twice its own uncertainty.
    expect(main?.differences.get('opens')?.isReal).toBe(true);
  });

  test('what is equal is not called different, and what both share is not in the uncertainty', () => {
    const [, secondary] = sideDifferences(found, ports);
    expect(secondary?.differences.get('opens')).toMatchObject({ isReal: false, difference: { value: 0 } });
    const bore = sideDifferences({ ...found, uncertainties: { boreMm: 0.02 } }, ports)[0]?.differences.get('opens');
    expect(bore?.difference.sigma).toBe(0);
  });

  test('without sizes or without sides there is nothing to compare', () => {
    expect(sideDifferences({ ...found, sizes: null }, ports)).toEqual([]);
    expect(sideDifferences(found, ports.slice(0, 1))).toEqual([]);
  });
});
