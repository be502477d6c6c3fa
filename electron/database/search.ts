import type { Id } from '../../core/contract/basics.ts';
import type { SearchHit } from '../../core/contract/book-messages.ts';
import type { BookReader, BookWriter } from './connection.ts';

export type SearchedEntity = 'customer' | 'part' | 'mock_up' | 'build';

const sources: Record<SearchedEntity, string> = {
  customer: `SELECT content ->> 'name' AS title, coalesce(content ->> 'contact', '') AS body FROM customer WHERE id = ?`,
  part: `SELECT content ->> 'name' AS title, concat_ws(' ', content ->> 'marks', content ->> 'notes') AS body FROM part WHERE id = ?`,
  mock_up: `SELECT content ->> 'name' AS title, coalesce(content ->> 'notes', '') AS body FROM mock_up WHERE id = ?`,
  // A build is found by everything that hangs on it, so that the words of a search may come from different records.
  build: `SELECT b.content ->> 'title' AS title, concat_ws(' ', b.content ->> 'jobNumber', b.content ->> 'measuredBy',
      b.content ->> 'notes', c.content ->> 'name', e.content ->> 'name', e.content ->> 'marks',
      (SELECT group_concat(concat_ws(' ', m.content ->> 'name', m.content ->> 'notes', p.content ->> 'name', p.content ->> 'marks'), ' ')
       FROM mock_up m JOIN part p ON p.id = m.barrel_id WHERE m.build_id = b.id)) AS body
    FROM build b LEFT JOIN customer c ON c.id = b.customer_id LEFT JOIN part e ON e.id = b.engine_id WHERE b.id = ?`,
};

const buildsOf: Record<SearchedEntity, string> = {
  customer: 'SELECT id FROM build WHERE customer_id = ?1',
  part: 'SELECT id FROM build WHERE engine_id = ?1 UNION SELECT build_id FROM mock_up WHERE barrel_id = ?1',
  mock_up: 'SELECT build_id AS id FROM mock_up WHERE id = ?1',
  build: 'SELECT id FROM build WHERE id = ?1',
};

/** Brings the search up to date after a record changed: its own entry and those of the builds it belongs to. */
export function refreshSearch(writer: BookWriter, entity: SearchedEntity, id: Id): void {
  if (entity !== 'build') refreshEntry(writer, entity, id);
  for (const build of writer.all<{ id: Id }>(buildsOf[entity], id)) refreshEntry(writer, 'build', build.id);
}

function refreshEntry(writer: BookWriter, entity: SearchedEntity, id: Id): void {
  const found = writer.get<{ title: string; body: string }>(sources[entity], id);
  if (found === undefined) return;
  writer.run(
    `INSERT INTO search_entry (row_id, entity, title, body) VALUES (?, ?, ?, ?)
     ON CONFLICT (row_id) DO UPDATE SET title = excluded.title, body = excluded.body
     WHERE title <> excluded.title OR body <> excluded.body`,
    id,
    entity,
    found.title,
    found.body,
  );
}

/**
 * What a person typed as a query of the search index: every word must begin a word of the record.
 * @returns null where nothing but signs was typed
 */
export function searchPattern(query: string): string | null {
  const words = query.split(/[^\p{L}\p{N}\p{M}]+/u).filter((word) => word !== '');
  return words.length === 0 ? null : words.map((word) => `"${word}"*`).join(' AND ');
}

/** Records in which every word occurs, best first. */
export function searchBook(reader: BookReader, query: string, limit: number): SearchHit[] {
  return find(reader, searchPattern(query), limit);
}

/** Records in which any longer word of a name occurs, as a whole word; best first. */
export function searchName(reader: BookReader, name: string, limit: number): SearchHit[] {
  const words = name.split(/[^\p{L}\p{N}\p{M}]+/u).filter((word) => word.length >= shortestTellingWord);
  return find(reader, words.length === 0 ? null : words.map((word) => `"${word}"`).join(' OR '), limit);
}
const shortestTellingWord = 3;

function find(reader: BookReader, pattern: string | null, limit: number): SearchHit[] {
  if (pattern === null) return [];
  return reader.all<SearchHit>(
    `SELECT s.entity, s.row_id AS rowId, s.title, snippet(search, 1, '', '', '…', 12) AS excerpt
     FROM search JOIN search_entry s ON s.id = search.rowid WHERE search MATCH ? ORDER BY rank LIMIT ?`,
    pattern,
    limit,
  );
}
