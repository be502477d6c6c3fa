import type { BuildContent, CustomerContent, MockUpContent, PartContent } from '../../core/contract/parts.ts';
import type { EditableKind } from './editable.ts';
import { insertRow } from './rows.ts';
import { refreshSearch } from './search.ts';

export const customerKind: EditableKind<CustomerContent> = {
  entity: 'customer',
  table: 'customer',
  title: 'The customer',
  keys: () => ({}),
  separateVersions(writer, id, changeId, content) {
    insertRow(writer, 'customer_version', { change_id: changeId, customer_id: id, content });
  },
  follow: (writer, id) => refreshSearch(writer, 'customer', id),
};

export const partKind: EditableKind<PartContent> = {
  entity: 'part',
  table: 'part',
  title: 'The part',
  keys: (content) => ({ kind: content.kind }),
  follow(writer, id, content) {
    refreshSearch(writer, 'part', id);
    if (content.kind !== 'barrel') return;
    writer.run('DELETE FROM port WHERE barrel_id = ?', id);
    for (const port of content.data.ports) {
      writer.run('INSERT INTO port (barrel_id, port_id, kind) VALUES (?, ?, ?)', id, port.portId, port.kind);
    }
  },
};

export const buildKind: EditableKind<BuildContent> = {
  entity: 'build',
  table: 'build',
  title: 'The build',
  keys: (content) => ({ customer_id: content.customerId, engine_id: content.engineId }),
  follow: (writer, id) => refreshSearch(writer, 'build', id),
  buildOf: (id) => id,
};

export const mockUpKind: EditableKind<MockUpContent> = {
  entity: 'mock_up',
  table: 'mock_up',
  title: 'The mock-up',
  keys: (content) => ({
    build_id: content.buildId,
    engine_id: content.engineId,
    barrel_id: content.barrelId,
    piston_id: content.pistonId,
    head_id: content.headId,
    base_gasket_id: content.baseGasketId,
    head_gasket_id: content.headGasketId,
    copied_from_id: content.copiedFromId,
  }),
  follow: (writer, id) => refreshSearch(writer, 'mock_up', id),
  buildOf: (_id, content) => content.buildId,
};
