-- A draft that is discarded or replaced by a newer one is deleted; its number is not used again.
CREATE TABLE plan (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  state TEXT NOT NULL CHECK (state IN ('draft', 'in-force', 'superseded')),
  created_at TEXT NOT NULL,
  adopted_at TEXT,
  cost REAL NOT NULL,
  seed INTEGER NOT NULL,
  content TEXT NOT NULL CHECK (json_valid(content)),
  -- Revision of the land that the plan was made from, and the one at which it was adopted.
  land_revision INTEGER NOT NULL,
  land_revision_at_adoption INTEGER,
  CHECK ((state IN ('in-force', 'superseded')) = (adopted_at IS NOT NULL)),
  CHECK ((adopted_at IS NULL) = (land_revision_at_adoption IS NULL))
) STRICT;

-- At most one plan is in force, and at most one draft is open.
CREATE UNIQUE INDEX plan_in_force_once ON plan (state) WHERE state = 'in-force';
CREATE UNIQUE INDEX plan_draft_once ON plan (state) WHERE state = 'draft';

-- Identity of a task in the feeds. Rows stay for life; a task that left the plan is a cancelled tombstone.
CREATE TABLE published_task (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  task_key TEXT NOT NULL UNIQUE CHECK (task_key <> ''),
  uid TEXT NOT NULL UNIQUE CHECK (uid <> ''),
  sequence INTEGER NOT NULL CHECK (sequence >= 0),
  revised_at TEXT NOT NULL CHECK (revised_at IS strftime('%Y-%m-%dT%H:%M:%SZ', revised_at)),
  created_at TEXT NOT NULL CHECK (created_at IS strftime('%Y-%m-%dT%H:%M:%SZ', created_at)),
  entry TEXT NOT NULL CHECK (json_valid(entry)),
  cancelled_at TEXT
) STRICT;

-- Addresses of feeds. The token itself is never stored, only its SHA-256.
CREATE TABLE feed_link (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL CHECK (name <> ''),
  label TEXT NOT NULL,
  token_hash BLOB NOT NULL UNIQUE CHECK (length(token_hash) = 32),
  created_at TEXT NOT NULL,
  last_fetched_at TEXT,
  last_fetched_by TEXT,
  revoked_at TEXT
) STRICT;

-- Hashes that a rotation took out of use: they are answered as revoked, not as unknown.
CREATE TABLE retired_feed_token (
  token_hash BLOB NOT NULL PRIMARY KEY CHECK (length(token_hash) = 32),
  feed_link_id INTEGER NOT NULL REFERENCES feed_link (id) ON DELETE CASCADE,
  retired_at TEXT NOT NULL
) STRICT;
