import type { Id } from '../../core/contract/basics.ts';
import type { WheelSetup, WheelSetupContent } from '../../core/contract/readings.ts';
import { logChange } from './change-log.ts';
import type { BookReader, BookWriter } from './connection.ts';
import { mockUpKind } from './kinds.ts';
import { idTaken, insertRow, notFound, soundRow } from './rows.ts';

interface SetupRow {
  id: Id;
  workplace_id: Id;
  created_at: string;
  mock_up_id: Id;
}

interface StateRow {
  change_id: Id;
  content: string;
  reader_state: string | null;
}

function fromRows(setup: SetupRow, state: StateRow): WheelSetup {
  return {
    ...(JSON.parse(state.content) as Omit<WheelSetupContent, 'readerState'>),
    readerState: state.reader_state,
    id: setup.id,
    workplaceId: setup.workplace_id,
    createdAt: setup.created_at,
  };
}

function latestState(reader: BookReader, setupId: Id): StateRow | undefined {
  return reader.get<StateRow>(
    'SELECT * FROM wheel_setup_state WHERE setup_id = ? ORDER BY change_id DESC LIMIT 1',
    setupId,
  );
}

function keepState(writer: BookWriter, setupId: Id, changeId: Id, content: WheelSetupContent): void {
  const { readerState, ...rest } = content;
  insertRow(writer, 'wheel_setup_state', {
    change_id: changeId,
    setup_id: setupId,
    reference_picture_id: content.referencePictureId,
    content: JSON.stringify(rest),
    reader_state: readerState,
  });
}

function isState(state: StateRow, content: WheelSetupContent): boolean {
  const { readerState, ...rest } = content;
  return state.content === JSON.stringify(rest) && state.reader_state === readerState;
}

/** Stores a set-up under the id that the page made. @throws BookError `id_taken`, `not_found` */
export function createSetup(writer: BookWriter, id: Id, content: WheelSetupContent): WheelSetup {
  const known = writer.get<SetupRow>('SELECT * FROM wheel_setup WHERE id = ?', id);
  if (known !== undefined) {
    const first = writer.get<StateRow>(
      'SELECT * FROM wheel_setup_state WHERE setup_id = ? ORDER BY change_id LIMIT 1',
      id,
    );
    if (first === undefined || !isState(first, content)) throw idTaken('The set-up');
    return fromRows(known, first);
  }
  if (writer.get('SELECT 1 AS there FROM mock_up WHERE id = ?', content.mockUpId) === undefined) {
    throw notFound(mockUpKind.title);
  }
  const { changeId, madeAt } = logChange(writer, { entity: 'wheel_setup', rowId: id, action: 'create' });
  insertRow(writer, 'wheel_setup', {
    id,
    workplace_id: writer.workplaceId,
    created_at: madeAt,
    mock_up_id: content.mockUpId,
    change_id: changeId,
  });
  keepState(writer, id, changeId, content);
  return { ...content, id, workplaceId: writer.workplaceId, createdAt: madeAt };
}

/** Keeps a further state; the same state again adds nothing. @throws BookError `not_found` */
export function updateSetup(writer: BookWriter, id: Id, content: WheelSetupContent): WheelSetup {
  const setup = writer.get<SetupRow>('SELECT * FROM wheel_setup WHERE id = ?', id);
  const latest = latestState(writer, id);
  if (setup === undefined || latest === undefined || setup.mock_up_id !== content.mockUpId)
    throw notFound('The set-up');
  if (isState(latest, content)) return fromRows(setup, latest);
  const { changeId } = logChange(writer, {
    entity: 'wheel_setup',
    rowId: id,
    action: 'update',
    supersedesChangeId: latest.change_id,
  });
  keepState(writer, id, changeId, content);
  return { ...content, id, workplaceId: setup.workplace_id, createdAt: setup.created_at };
}

/** Set-ups of a mock-up, each in its latest state, oldest set-up first. */
export function setupsOf(reader: BookReader, mockUpId: Id): WheelSetup[] {
  return reader
    .all<SetupRow>('SELECT * FROM wheel_setup WHERE mock_up_id = ? ORDER BY change_id', mockUpId)
    .flatMap((row) => {
      const state = latestState(reader, row.id);
      return state === undefined
        ? []
        : [fromRows(soundRow(row, 'A set-up of this mock-up'), soundRow(state, 'A set-up of this mock-up'))];
    });
}
