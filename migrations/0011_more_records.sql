-- Any kind of record: which kinds there are is the program's business.
CREATE TABLE land_record_new (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  kind TEXT NOT NULL CHECK (kind <> ''),
  content TEXT NOT NULL CHECK (json_valid(content))
) STRICT;
INSERT INTO land_record_new SELECT id, kind, content FROM land_record;
DROP TABLE land_record;
ALTER TABLE land_record_new RENAME TO land_record;
CREATE INDEX land_record_by_kind ON land_record (kind, id);
