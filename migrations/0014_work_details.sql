-- Money, gear hours, readings and photos of entries of the work log; corrections.
CREATE TABLE work_detail (
  entry_id INTEGER PRIMARY KEY REFERENCES work_entry (id) ON DELETE CASCADE,
  money_usd REAL CHECK (money_usd >= 0),
  gear_hours TEXT NOT NULL CHECK (json_valid(gear_hours)),
  started_at TEXT CHECK (started_at GLOB '[0-2][0-9]:[0-5][0-9]'),
  ended_at TEXT CHECK (ended_at GLOB '[0-2][0-9]:[0-5][0-9]'),
  readings TEXT NOT NULL CHECK (json_valid(readings)),
  -- Work inside no-work dates: the rules, and the approval or the reason.
  no_work TEXT CHECK (json_valid(no_work))
) STRICT;

-- The pictures themselves are files in the folder beside the database.
CREATE TABLE work_photo (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  entry_id INTEGER NOT NULL REFERENCES work_entry (id) ON DELETE CASCADE,
  file_name TEXT NOT NULL UNIQUE CHECK (file_name <> ''),
  caption TEXT NOT NULL
) STRICT;
CREATE INDEX work_photo_by_entry ON work_photo (entry_id, id);

-- What an entry was before it was corrected.
CREATE TABLE entry_version (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  entry_id INTEGER NOT NULL REFERENCES work_entry (id) ON DELETE CASCADE,
  corrected_at TEXT NOT NULL,
  corrected_by TEXT,
  content TEXT NOT NULL CHECK (json_valid(content))
) STRICT;
CREATE INDEX entry_version_by_entry ON entry_version (entry_id, id);

-- Forms that a phone may send twice: a second one of the same key is answered with the entries of the first.
CREATE TABLE entry_sent (
  send_key TEXT NOT NULL PRIMARY KEY CHECK (send_key <> ''),
  entry_ids TEXT NOT NULL CHECK (json_valid(entry_ids)),
  sent_at TEXT NOT NULL
) STRICT;
