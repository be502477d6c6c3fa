import type { Database } from 'better-sqlite3';
import type { Id } from '../../core/contract/basics.ts';
import type { Port } from '../../core/contract/parts.ts';
import type { ReadingContent } from '../../core/contract/readings.ts';
import { csvLine } from './csv.ts';

const columns = [
  'reading',
  'build',
  'mock_up',
  'barrel',
  'what',
  'port',
  'edge',
  'turning',
  'quantity',
  'position',
  'value',
  'unit',
  'rotation_deg',
  'sigma_deg',
  'wheel_reading_deg',
  'signal',
  'taken_at',
  'measured_by',
  'supersedes',
  'latest_mark',
  'note',
];

interface TableRow {
  id: Id;
  content: string;
  mock_up: string;
  build: string;
  barrel: string;
  mark: string | null;
}

/**
 * The readings as lines of a plain table, for a spreadsheet; the first line names the columns.
 * @param isWhole false: only readings that are noted in the temporary table `chosen`
 */
export function* readingLines(database: Database, isWhole: boolean): Generator<string, void, void> {
  yield csvLine(columns);
  const rows = database.prepare(`
    SELECT r.id, r.content, m.content AS mock_up, b.content AS build, p.content AS barrel,
      (SELECT mark FROM reading_mark k WHERE k.reading_id = r.id ORDER BY k.change_id DESC LIMIT 1) AS mark
    FROM reading r JOIN mock_up m ON m.id = r.mock_up_id JOIN build b ON b.id = m.build_id JOIN part p ON p.id = m.barrel_id
    ${isWhole ? '' : 'WHERE r.id IN (SELECT row_id FROM chosen)'} ORDER BY r.change_id`);
  for (const row of rows.iterate() as IterableIterator<TableRow>) yield readingLine(row);
}

function readingLine(row: TableRow): string {
  const content = JSON.parse(row.content) as ReadingContent;
  const barrel = JSON.parse(row.barrel) as { name: string; data: { ports?: Port[] } };
  const { subject } = content;
  const angle = subject.what === 'quantity' ? null : subject.angle;
  const portLabel =
    subject.what === 'port_edge'
      ? (barrel.data.ports?.find(({ portId }) => portId === subject.portId)?.label ?? subject.portId)
      : null;
  return csvLine([
    row.id,
    (JSON.parse(row.build) as { title: string }).title,
    (JSON.parse(row.mock_up) as { name: string }).name,
    barrel.name,
    subject.what,
    portLabel,
    subject.what === 'port_edge' ? subject.edge : null,
    subject.what === 'quantity' ? null : subject.turning,
    subject.what === 'quantity' ? subject.quantity : null,
    subject.what === 'quantity' ? subject.position : null,
    subject.what === 'quantity' ? subject.value : null,
    subject.what === 'quantity' ? subject.unit : null,
    angle?.by === 'camera' ? angle.rotationDeg : null,
    angle?.by === 'camera' ? angle.sigmaDeg : null,
    angle?.by === 'typed' ? angle.wheelReadingDeg : null,
    content.signal,
    content.takenAt,
    content.measuredBy,
    content.supersedesId,
    row.mark,
    content.note,
  ]);
}
