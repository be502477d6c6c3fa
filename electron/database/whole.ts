import type { Id } from '../../core/contract/basics.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { BookReader } from './connection.ts';
import { findEditable, getEditable } from './editable.ts';
import { buildKind, customerKind, mockUpKind, partKind } from './kinds.ts';
import { marksOf, readingsOf } from './readings.ts';
import { setupsOf } from './setups.ts';

/** Everything of one mock-up. @throws BookError `not_found`, `row_damaged` */
export function mockUpWhole(reader: BookReader, id: Id): MockUpWhole {
  const part = (partId: Id | null) => (partId === null ? null : getEditable(reader, partKind, partId));
  const mockUp = getEditable(reader, mockUpKind, id);
  const build = getEditable(reader, buildKind, mockUp.buildId);
  return {
    mockUp,
    build,
    customer: build.customerId === null ? null : findEditable(reader, customerKind, build.customerId),
    engine: getEditable(reader, partKind, mockUp.engineId),
    barrel: getEditable(reader, partKind, mockUp.barrelId),
    piston: part(mockUp.pistonId),
    head: part(mockUp.headId),
    baseGasket: part(mockUp.baseGasketId),
    headGasket: part(mockUp.headGasketId),
    setups: setupsOf(reader, id),
    readings: readingsOf(reader, id),
    marks: marksOf(reader, id),
  };
}
