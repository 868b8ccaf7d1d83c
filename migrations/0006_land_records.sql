-- Points to protect, leases, grazing spans, consents, people and bookings: one row a record, checked by the program.
CREATE TABLE land_record (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  kind TEXT NOT NULL CHECK (kind IN ('point', 'lease', 'grazing', 'consent', 'person', 'booking')),
  content TEXT NOT NULL CHECK (json_valid(content))
) STRICT;

CREATE INDEX land_record_by_kind ON land_record (kind, id);

-- Rows taken out of use. They keep their history and can be brought back; nothing of the land is deleted.
CREATE TABLE retired (
  noun TEXT NOT NULL CHECK (noun <> ''),
  row_id INTEGER NOT NULL,
  retired_at TEXT NOT NULL,
  PRIMARY KEY (noun, row_id)
) STRICT;

ALTER TABLE line ADD COLUMN path TEXT CHECK (json_valid(path));
ALTER TABLE block ADD COLUMN burn_limits TEXT NOT NULL
  DEFAULT '{"windFrom":null,"gustMphMost":null,"canopyPercent":null}' CHECK (json_valid(burn_limits));
UPDATE block SET readiness = json_set(readiness, '$.roles', json('[]'));

-- The rules of line kinds can be edited too.
CREATE TABLE library_override_new (
  kind TEXT NOT NULL
    CHECK (kind IN ('communities', 'treatments', 'sequences', 'noWork', 'prescriptions', 'lineKinds')),
  key TEXT NOT NULL CHECK (key <> ''),
  content TEXT NOT NULL CHECK (json_valid(content)),
  changed_at TEXT NOT NULL,
  PRIMARY KEY (kind, key)
) STRICT;
INSERT INTO library_override_new SELECT kind, key, content, changed_at FROM library_override;
DROP TABLE library_override;
ALTER TABLE library_override_new RENAME TO library_override;
