import { expect, test } from 'vitest';
import { subjectOf } from '../../../renderer/state/bench-run.ts';
import { BenchRecords } from '../../support/bench-records.ts';

test('a stamp keeps the criterion of its port, and that of the mock-up where the port has none', () => {
  const records = new BenchRecords();
  const whole = records.mockUp();
  const wire = { kind: 'wire', thicknessMm: 0.3 } as const;
  const mockUp = { ...whole.mockUp, portCriteria: { t: wire } };
  const angle = records.camera(whole, 92);
  const criterion = (portId: string) => {
    const subject = subjectOf(
      { what: 'port_edge', turning: 'forwards', portId, edge: 'opens' },
      'forwards',
      angle,
      mockUp,
    );
    return subject.what === 'port_edge' ? subject.criterion : null;
  };
  expect(criterion('t')).toEqual(wire);
  expect(criterion('e')).toEqual({ kind: 'first_light', thicknessMm: 0 });
});
