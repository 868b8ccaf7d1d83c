-- What was found out about a county's burn ban, red flag day or drought stop; the newest row of a kind holds.
CREATE TABLE county_switch (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  state TEXT NOT NULL CHECK (state <> ''),
  county TEXT NOT NULL CHECK (county <> ''),
  kind TEXT NOT NULL CHECK (kind IN ('burn-ban', 'red-flag', 'drought-stop')),
  is_on INTEGER NOT NULL CHECK (is_on IN (0, 1)),
  since TEXT CHECK (since IS date(since)),
  checked_by TEXT NOT NULL CHECK (checked_by <> ''),
  checked_at TEXT NOT NULL,
  note TEXT NOT NULL
) STRICT;

-- Go/no-go lists as answered. They are never changed: another list is another row.
CREATE TABLE go_no_go (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  block_id INTEGER NOT NULL,
  day TEXT NOT NULL CHECK (day IS date(day)),
  answered_by TEXT NOT NULL CHECK (answered_by <> ''),
  recorded_at TEXT NOT NULL,
  answers TEXT NOT NULL CHECK (json_valid(answers)),
  note TEXT NOT NULL
) STRICT;

-- The past-years test of a plan, kept as long as the plan is.
CREATE TABLE past_years (
  plan_id INTEGER PRIMARY KEY REFERENCES plan (id) ON DELETE CASCADE,
  made_at TEXT NOT NULL,
  revision INTEGER NOT NULL,
  content TEXT NOT NULL CHECK (json_valid(content))
) STRICT;
