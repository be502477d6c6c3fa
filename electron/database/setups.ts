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

/** A state without what the reader knows, which weighs megabytes. */
interface LightState {
  change_id: Id;
  content: string;
  has_reader_state: 0 | 1;
}

interface StateRow {
  change_id: Id;
  content: string;
  reader_state: string | null;
}

function fromRows(setup: SetupRow, state: LightState): WheelSetup {
  return {
    ...(JSON.parse(state.content) as WheelSetupContent),
    hasReaderState: state.has_reader_state === 1,
    id: setup.id,
    workplaceId: setup.workplace_id,
    createdAt: setup.created_at,
  };
}

function stateAt(reader: BookReader, setupId: Id, end: 'first' | 'latest'): StateRow | undefined {
  return reader.get<StateRow>(
    `SELECT * FROM wheel_setup_state WHERE setup_id = ? ORDER BY change_id ${end === 'first' ? 'ASC' : 'DESC'} LIMIT 1`,
    setupId,
  );
}

const light = (state: StateRow): LightState => ({
  change_id: state.change_id,
  content: state.content,
  has_reader_state: state.reader_state === null ? 0 : 1,
});

/** States whose rows were sound when they were last read whole, as they read then. */
const readWhole = new Map<Id, string>();

/**
 * The latest state, sure to be as it was stored. The check sum of a row covers all of it, and reading megabytes at every
 * stamp would hold the next one up: a state, which never changes, is read whole only once and compared after that.
 * @throws BookError `row_damaged`
 */
function soundLatest(reader: BookReader, setupId: Id, what: string): LightState | undefined {
  const state = reader.get<LightState>(
    `SELECT change_id, content, reader_state IS NOT NULL AS has_reader_state FROM wheel_setup_state
     WHERE setup_id = ? ORDER BY change_id DESC LIMIT 1`,
    setupId,
  );
  if (state === undefined) return undefined;
  const asRead = `${state.has_reader_state} ${state.content}`;
  if (readWhole.get(state.change_id) !== asRead) {
    const whole = reader.get<StateRow>('SELECT * FROM wheel_setup_state WHERE change_id = ?', state.change_id);
    if (whole !== undefined) soundRow(whole, what);
    readWhole.set(state.change_id, asRead);
  }
  return state;
}

function keepState(
  writer: BookWriter,
  setupId: Id,
  changeId: Id,
  content: WheelSetupContent,
  readerState: string | null,
): void {
  insertRow(writer, 'wheel_setup_state', {
    change_id: changeId,
    setup_id: setupId,
    reference_picture_id: content.referencePictureId,
    content: JSON.stringify(content),
    reader_state: readerState,
  });
}

function isState(state: StateRow, content: WheelSetupContent, readerState: string | null): boolean {
  return state.content === JSON.stringify(content) && state.reader_state === readerState;
}

/** Stores a set-up under the id that the page made. @throws BookError `id_taken`, `not_found` */
export function createSetup(
  writer: BookWriter,
  id: Id,
  content: WheelSetupContent,
  readerState: string | null,
): WheelSetup {
  const known = writer.get<SetupRow>('SELECT * FROM wheel_setup WHERE id = ?', id);
  if (known !== undefined) {
    const first = stateAt(writer, id, 'first');
    if (first === undefined || !isState(first, content, readerState)) throw idTaken('The set-up');
    return fromRows(known, light(first));
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
  keepState(writer, id, changeId, content, readerState);
  return {
    ...content,
    hasReaderState: readerState !== null,
    id,
    workplaceId: writer.workplaceId,
    createdAt: madeAt,
  };
}

/**
 * Keeps a further state; the same state again adds nothing.
 * Without a reader state the one kept last goes on.
 * @throws BookError `not_found`
 */
export function updateSetup(
  writer: BookWriter,
  id: Id,
  content: WheelSetupContent,
  readerState: string | undefined,
): WheelSetup {
  const setup = writer.get<SetupRow>('SELECT * FROM wheel_setup WHERE id = ?', id);
  const latest = stateAt(writer, id, 'latest');
  if (setup === undefined || latest === undefined || setup.mock_up_id !== content.mockUpId)
    throw notFound('The set-up');
  const kept = readerState ?? latest.reader_state;
  if (isState(latest, content, kept)) return fromRows(setup, light(latest));
  const { changeId } = logChange(writer, {
    entity: 'wheel_setup',
    rowId: id,
    action: 'update',
    supersedesChangeId: latest.change_id,
  });
  keepState(writer, id, changeId, content, kept);
  return {
    ...content,
    hasReaderState: kept !== null,
    id,
    workplaceId: setup.workplace_id,
    createdAt: setup.created_at,
  };
}

/** Set-ups of a mock-up, each in its latest state, oldest set-up first. */
export function setupsOf(reader: BookReader, mockUpId: Id): WheelSetup[] {
  return reader
    .all<SetupRow>('SELECT * FROM wheel_setup WHERE mock_up_id = ? ORDER BY change_id', mockUpId)
    .flatMap((row) => {
      const state = soundLatest(reader, row.id, 'A set-up of this mock-up');
      return state === undefined ? [] : [fromRows(soundRow(row, 'A set-up of this mock-up'), state)];
    });
}

/** What the reader kept of a set-up last; null where nothing was. @throws BookError `not_found` */
export function readerStateOf(reader: BookReader, id: Id): string | null {
  const latest = stateAt(reader, id, 'latest');
  if (latest === undefined) throw notFound('The set-up');
  return soundRow(latest, 'A set-up').reader_state;
}
