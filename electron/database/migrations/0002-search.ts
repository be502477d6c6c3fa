import type { Database } from 'better-sqlite3';
import type { Migration } from './migration.ts';

/* Derived tables: what is searched. They can be made anew from the records at any time. */
const sql = `
CREATE TABLE search_entry (
  id INTEGER PRIMARY KEY,
  row_id TEXT NOT NULL UNIQUE,
  entity TEXT NOT NULL REFERENCES entity_kind (kind),
  title TEXT NOT NULL,
  body TEXT NOT NULL
) STRICT;
CREATE VIRTUAL TABLE search USING fts5 (
  title, body, content = 'search_entry', content_rowid = 'id',
  tokenize = 'unicode61 remove_diacritics 2', prefix = '2 3'
);
INSERT INTO search (search, rank) VALUES ('secure-delete', 1);
CREATE TRIGGER search_entry_added AFTER INSERT ON search_entry BEGIN
  INSERT INTO search (rowid, title, body) VALUES (new.id, new.title, new.body);
END;
CREATE TRIGGER search_entry_removed AFTER DELETE ON search_entry BEGIN
  INSERT INTO search (search, rowid, title, body) VALUES ('delete', old.id, old.title, old.body);
END;
CREATE TRIGGER search_entry_changed AFTER UPDATE ON search_entry BEGIN
  INSERT INTO search (search, rowid, title, body) VALUES ('delete', old.id, old.title, old.body);
  INSERT INTO search (rowid, title, body) VALUES (new.id, new.title, new.body);
END;
INSERT INTO search_entry (row_id, entity, title, body)
  SELECT id, 'customer', content ->> 'name', coalesce(content ->> 'contact', '') FROM customer;
INSERT INTO search_entry (row_id, entity, title, body)
  SELECT id, 'part', content ->> 'name', concat_ws(' ', content ->> 'marks', content ->> 'notes') FROM part;
INSERT INTO search_entry (row_id, entity, title, body)
  SELECT id, 'mock_up', content ->> 'name', coalesce(content ->> 'notes', '') FROM mock_up;
INSERT INTO search_entry (row_id, entity, title, body)
  SELECT b.id, 'build', b.content ->> 'title', concat_ws(' ', b.content ->> 'jobNumber', b.content ->> 'measuredBy',
    b.content ->> 'notes', c.content ->> 'name', e.content ->> 'name', e.content ->> 'marks',
    (SELECT group_concat(concat_ws(' ', m.content ->> 'name', m.content ->> 'notes', p.content ->> 'name', p.content ->> 'marks'), ' ')
     FROM mock_up m JOIN part p ON p.id = m.barrel_id WHERE m.build_id = b.id))
  FROM build b LEFT JOIN customer c ON c.id = b.customer_id LEFT JOIN part e ON e.id = b.engine_id;
`;

export const search: Migration = {
  version: 2,
  name: 'search',
  up(database: Database): void {
    database.exec(sql);
  },
};
