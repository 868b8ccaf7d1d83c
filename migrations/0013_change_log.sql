-- What each write changed, row by row, and who did it when. Triggers of the program write it (src/storage/row-log.ts).

-- One transaction. `person` is the name of that day; NULL = nobody was signed in, or the program did it by itself.
CREATE TABLE change_group (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at TEXT NOT NULL,
  person_id INTEGER,
  person TEXT,
  what TEXT NOT NULL
) STRICT;

-- A row before and after as JSON of its columns; NULL = it was not there. `row_key` is the JSON list of its primary key.
-- `property_id` is the land it belongs to; NULL = it concerns all of it.
CREATE TABLE row_change (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  group_id INTEGER NOT NULL REFERENCES change_group (id) ON DELETE CASCADE,
  table_name TEXT NOT NULL CHECK (table_name <> ''),
  row_key TEXT NOT NULL CHECK (json_valid(row_key)),
  property_id INTEGER,
  before_row TEXT CHECK (json_valid(before_row)),
  after_row TEXT CHECK (json_valid(after_row)),
  CHECK (before_row IS NOT NULL OR after_row IS NOT NULL)
) STRICT;

CREATE INDEX row_change_by_row ON row_change (table_name, row_key, id);
CREATE INDEX row_change_by_group ON row_change (group_id);
