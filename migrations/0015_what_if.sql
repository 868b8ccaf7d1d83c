-- Changes tried on the operation as a whole, and the plan found with them. Nothing of the land hangs on them.
CREATE TABLE what_if (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL CHECK (name <> ''),
  changes TEXT NOT NULL CHECK (json_valid(changes)),
  solved_at TEXT CHECK (solved_at IS strftime('%Y-%m-%dT%H:%M:%SZ', solved_at)),
  -- Revision of the operation that the changes were laid over.
  land_revision INTEGER,
  summary TEXT CHECK (json_valid(summary)),
  content TEXT CHECK (json_valid(content)),
  CHECK ((solved_at IS NULL) = (content IS NULL)),
  CHECK ((solved_at IS NULL) = (summary IS NULL)),
  CHECK ((solved_at IS NULL) = (land_revision IS NULL))
) STRICT;
