import { describe, expect, test } from 'vitest';
import { criterionOf, criterionProblem } from '../../../core/mockup/criterion.ts';
import { sideSentences } from '../../../core/mockup/side-differences.ts';
import { timingResult } from '../../../core/mockup/timing-result.ts';
import { BenchRecords } from '../../support/bench-records.ts';

describe('how the edges of a port are judged', () => {
  const light = { kind: 'first_light', thicknessMm: 0 } as const;
  const blade = { kind: 'blade', thicknessMm: 0.05 } as const;

  test('its own criterion counts before the one of the mock-up', () => {
    const mockUp = { criterion: light, portCriteria: { boost: blade } };
    expect(criterionOf(mockUp, 'boost')).toEqual(blade);
    expect(criterionOf(mockUp, 'exhaust')).toEqual(light);
  });

  test('a blade, wire or paper without a thickness can not be computed out', () => {
    expect(criterionProblem(light)).toBeNull();
    expect(criterionProblem(blade)).toBeNull();
    expect(criterionProblem({ kind: 'wire', thicknessMm: 0 })).toMatch(/thickness of the wire/);
    expect(criterionProblem({ kind: 'paper_nip', thicknessMm: 0 })).toMatch(/thickness of the paper/);
  });

  test('a blade in the gap makes the same wheel reading an earlier opening', () => {
    const records = new BenchRecords();
    const whole = records.mockUp();
    const read = (bladeMm?: number) => {
      const readings = [
        records.stop(whole, 'forwards', records.camera(whole, 330)),
        records.stop(whole, 'backwards', records.camera(whole, 30)),
        records.edge(
          whole,
          'e',
          'opens',
          'forwards',
          records.camera(whole, 92),
          bladeMm === undefined ? {} : { bladeMm },
        ),
      ];
      return timingResult({ ...whole, readings }).events[0]?.crank?.value ?? Number.NaN;
    };
    // About half a degree for a quarter of a millimetre at the exhaust.
    expect(read() - read(0.25)).toBeCloseTo(0.52, 1);
  });
});

describe('drive side against ignition side', () => {
  const sides = (driveDeg: number, ignitionDeg: number) => {
    const records = new BenchRecords();
    const ports = [
      { portId: 'd', kind: 'transfer_main', side: 'drive_side', label: 'Main, drive side' },
      { portId: 'i', kind: 'transfer_main', side: 'ignition_side', label: 'Main, ignition side' },
    ] as const;
    const whole = records.mockUp({ ports });
    const readings = [
      records.stop(whole, 'forwards', records.camera(whole, 330)),
      records.stop(whole, 'backwards', records.camera(whole, 30)),
      ...(['forwards', 'backwards'] as const).flatMap((turning) => [
        records.edge(whole, 'd', 'opens', turning, records.camera(whole, driveDeg)),
        records.edge(whole, 'i', 'opens', turning, records.camera(whole, ignitionDeg)),
      ]),
    ];
    const built = { ...whole, readings };
    return sideSentences(timingResult(built), built.barrel.kind === 'barrel' ? built.barrel.data.ports : []);
  };

  test('says which side opens earlier and by how much', () => {
    expect(sides(118, 119.8)).toEqual([
      expect.stringMatching(/^Main, drive side opens 1\.8 deg earlier than Main, ignition side \(U \d\.\d\)\.$/),
    ]);
    expect(sides(119.8, 118)).toEqual([expect.stringMatching(/^Main, ignition side opens 1\.8 deg earlier/)]);
  });

  test('a difference inside its uncertainty is no difference', () => {
    expect(sides(118, 118.1)).toEqual([expect.stringMatching(/open together as far as can be told: 0\.1 deg apart/)]);
  });

  test('nothing is said before both were read', () => {
    const records = new BenchRecords();
    const whole = records.mockUp();
    expect(sideSentences(timingResult(whole), [])).toEqual([]);
  });
});
