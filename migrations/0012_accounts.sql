-- People who may sign in, their sessions and one-time links. Secrets stand in tables of their own: passwords as
-- scrypt with a salt, tokens of sessions and links as SHA-256 only.

CREATE TABLE account (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL CHECK (name <> ''),
  -- The name as it is compared: NFKC, small letters.
  sign_in_name TEXT NOT NULL UNIQUE,
  role TEXT NOT NULL CHECK (role IN ('landowner', 'crew-lead', 'planner', 'administrator')),
  -- 1 = all properties, also later ones; 0 = those of account_property and of the landowner.
  has_all_properties INTEGER NOT NULL CHECK (has_all_properties IN (0, 1)),
  landowner_id INTEGER REFERENCES landowner (id) ON DELETE SET NULL,
  created_at TEXT NOT NULL,
  -- Out of use from then on; the row stays, since changes name it.
  retired_at TEXT,
  CHECK (role <> 'landowner' OR has_all_properties = 0)
) STRICT;

-- A property that is gone takes the right with it: its number may come back as another one.
CREATE TABLE account_property (
  account_id INTEGER NOT NULL REFERENCES account (id) ON DELETE CASCADE,
  property_id INTEGER NOT NULL REFERENCES property (id) ON DELETE CASCADE,
  PRIMARY KEY (account_id, property_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE account_password (
  account_id INTEGER PRIMARY KEY REFERENCES account (id) ON DELETE CASCADE,
  password_hash TEXT NOT NULL,
  changed_at TEXT NOT NULL
) STRICT;

CREATE TABLE session (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  account_id INTEGER NOT NULL REFERENCES account (id) ON DELETE CASCADE,
  token_hash BLOB NOT NULL UNIQUE,
  started_at TEXT NOT NULL,
  last_seen_at TEXT NOT NULL,
  user_agent TEXT NOT NULL,
  address TEXT NOT NULL
) STRICT;
CREATE INDEX session_account ON session (account_id);

CREATE TABLE password_link (
  token_hash BLOB PRIMARY KEY,
  account_id INTEGER NOT NULL UNIQUE REFERENCES account (id) ON DELETE CASCADE,
  expires_at TEXT NOT NULL
) STRICT, WITHOUT ROWID;
