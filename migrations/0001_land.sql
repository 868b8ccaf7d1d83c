-- The land, the people and the facts. Dates are civil dates; `d IS date(d)` refuses 2026-02-30 and 2026-2-1.
-- A month-day is checked in a leap year, so that 02-29 may stand. Nested bits are JSON text.

CREATE TABLE landowner (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL CHECK (name <> ''),
  contact TEXT NOT NULL
) STRICT;

CREATE TABLE property (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  landowner_id INTEGER NOT NULL REFERENCES landowner (id),
  name TEXT NOT NULL CHECK (name <> ''),
  state TEXT NOT NULL CHECK (length(state) = 2),
  county TEXT NOT NULL,
  time_zone TEXT NOT NULL CHECK (time_zone <> ''),
  latitude REAL NOT NULL CHECK (latitude BETWEEN -90 AND 90),
  longitude REAL NOT NULL CHECK (longitude BETWEEN -180 AND 180),
  burning_season_start TEXT NOT NULL
    CHECK ('2024-' || burning_season_start IS date('2024-' || burning_season_start)),
  growing_season_end TEXT NOT NULL
    CHECK ('2024-' || growing_season_end IS date('2024-' || growing_season_end)),
  anchors_usual TEXT NOT NULL CHECK (json_valid(anchors_usual)),
  neighbour_rule TEXT NOT NULL CHECK (neighbour_rule IN ('together', 'no-matter', 'apart')),
  is_sample INTEGER NOT NULL CHECK (is_sample IN (0, 1))
) STRICT;

CREATE TABLE anchor_year (
  property_id INTEGER NOT NULL REFERENCES property (id) ON DELETE CASCADE,
  anchor TEXT NOT NULL CHECK (anchor IN ('leaf-out', 'leaf-fall', 'green-up', 'warm-season-start')),
  year INTEGER NOT NULL CHECK (year BETWEEN 1900 AND 2200),
  date TEXT NOT NULL CHECK (date IS date(date)),
  how TEXT NOT NULL CHECK (how IN ('observed', 'computed')),
  PRIMARY KEY (property_id, anchor, year)
) STRICT;

CREATE TABLE block (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  property_id INTEGER NOT NULL REFERENCES property (id),
  code TEXT NOT NULL CHECK (code <> ''),
  name TEXT NOT NULL,
  sequence_key TEXT,
  sequence_starts_on TEXT CHECK (sequence_starts_on IS date(sequence_starts_on)),
  first_cycle INTEGER NOT NULL CHECK (first_cycle >= 1),
  rotation TEXT CHECK (json_valid(rotation)),
  held_until_year INTEGER CHECK (held_until_year BETWEEN 1900 AND 2200),
  held_reason TEXT NOT NULL,
  prescription_key TEXT,
  burn_people_least INTEGER NOT NULL CHECK (burn_people_least >= 0),
  readiness TEXT NOT NULL CHECK (json_valid(readiness)),
  UNIQUE (property_id, code),
  UNIQUE (id, property_id)
) STRICT;

-- Every unit lies in a block of its own property.
CREATE TABLE unit (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  property_id INTEGER NOT NULL REFERENCES property (id),
  block_id INTEGER NOT NULL,
  code TEXT NOT NULL CHECK (code <> ''),
  name TEXT NOT NULL,
  area_acres REAL NOT NULL CHECK (area_acres > 0),
  measured_acres REAL CHECK (measured_acres > 0),
  perimeter_feet REAL CHECK (perimeter_feet > 0),
  community_key TEXT NOT NULL CHECK (community_key <> ''),
  aspect TEXT CHECK (aspect IN ('N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW', 'flat')),
  slope_percent REAL CHECK (slope_percent >= 0),
  density_class TEXT CHECK (density_class IN ('scattered', 'moderate', 'dense', 'thicket')),
  tags TEXT NOT NULL CHECK (json_valid(tags)),
  boundary TEXT CHECK (json_valid(boundary)),
  UNIQUE (property_id, code),
  FOREIGN KEY (block_id, property_id) REFERENCES block (id, property_id)
) STRICT;

CREATE INDEX unit_by_block ON unit (block_id);

CREATE TABLE line (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  property_id INTEGER NOT NULL REFERENCES property (id),
  name TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('disked', 'mown', 'blown', 'road', 'creek', 'green', 'black')),
  length_feet REAL NOT NULL CHECK (length_feet > 0),
  width_feet REAL CHECK (width_feet > 0),
  ready_on TEXT CHECK (ready_on IS date(ready_on)),
  good_until TEXT CHECK (good_until IS date(good_until))
) STRICT;

CREATE TABLE line_unit (
  line_id INTEGER NOT NULL REFERENCES line (id) ON DELETE CASCADE,
  unit_id INTEGER NOT NULL REFERENCES unit (id) ON DELETE CASCADE,
  PRIMARY KEY (line_id, unit_id)
) STRICT;

CREATE TABLE neighbour (
  unit_a INTEGER NOT NULL REFERENCES unit (id) ON DELETE CASCADE,
  unit_b INTEGER NOT NULL REFERENCES unit (id) ON DELETE CASCADE,
  shared_feet REAL NOT NULL CHECK (shared_feet >= 0),
  rule TEXT CHECK (rule IN ('together', 'no-matter', 'apart')),
  PRIMARY KEY (unit_a, unit_b),
  CHECK (unit_a <> unit_b)
) STRICT;

CREATE UNIQUE INDEX neighbour_once ON neighbour (min(unit_a, unit_b), max(unit_a, unit_b));

CREATE TABLE crew (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL CHECK (name <> ''),
  kind TEXT NOT NULL CHECK (kind IN ('home', 'contract', 'help')),
  people_count INTEGER NOT NULL CHECK (people_count >= 1),
  skills TEXT NOT NULL CHECK (json_valid(skills)),
  workdays TEXT NOT NULL CHECK (json_valid(workdays)),
  days_off TEXT NOT NULL CHECK (json_valid(days_off)),
  on_spans TEXT CHECK (json_valid(on_spans)),
  cost_per_day_usd REAL NOT NULL CHECK (cost_per_day_usd >= 0),
  spread_days_per_week REAL NOT NULL CHECK (spread_days_per_week BETWEEN 0 AND 7)
) STRICT;

CREATE TABLE gear (
  key TEXT NOT NULL PRIMARY KEY CHECK (key <> ''),
  name TEXT NOT NULL,
  count INTEGER NOT NULL CHECK (count >= 0),
  days_off TEXT NOT NULL CHECK (json_valid(days_off))
) STRICT;

CREATE TABLE holiday (
  date TEXT NOT NULL PRIMARY KEY CHECK (date IS date(date)),
  name TEXT NOT NULL
) STRICT;

CREATE TABLE work_entry (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  unit_id INTEGER NOT NULL REFERENCES unit (id),
  treatment_key TEXT NOT NULL CHECK (treatment_key <> ''),
  task_key TEXT,
  started_on TEXT CHECK (started_on IS date(started_on)),
  done_on TEXT NOT NULL CHECK (done_on IS date(done_on)),
  precision TEXT NOT NULL CHECK (precision IN ('day', 'month', 'year')),
  outcome TEXT NOT NULL CHECK (outcome IN ('done', 'partly', 'not-possible', 'under-way')),
  reason TEXT NOT NULL,
  area_acres REAL CHECK (area_acres >= 0),
  crew_days REAL CHECK (crew_days >= 0),
  person_hours REAL CHECK (person_hours >= 0),
  share_black_percent REAL CHECK (share_black_percent BETWEEN 0 AND 100),
  fire_cause TEXT CHECK (fire_cause IN ('planned', 'wild', 'neighbour')),
  signed_out_on TEXT CHECK (signed_out_on IS date(signed_out_on)),
  note TEXT NOT NULL
) STRICT;

CREATE INDEX work_entry_by_unit ON work_entry (unit_id, done_on);

CREATE TABLE approval (
  no_work_key TEXT NOT NULL CHECK (no_work_key <> ''),
  unit_id INTEGER NOT NULL REFERENCES unit (id) ON DELETE CASCADE,
  from_on TEXT NOT NULL CHECK (from_on IS date(from_on)),
  until_on TEXT NOT NULL CHECK (until_on IS date(until_on)),
  granted_by TEXT NOT NULL,
  PRIMARY KEY (no_work_key, unit_id, from_on),
  CHECK (until_on >= from_on)
) STRICT;

CREATE TABLE held_dates (
  task_key TEXT NOT NULL PRIMARY KEY CHECK (task_key <> ''),
  starts_on TEXT NOT NULL CHECK (starts_on IS date(starts_on))
) STRICT;

-- One row; none yet = the defaults of the program.
CREATE TABLE setting (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  supply_level TEXT NOT NULL CHECK (supply_level IN ('half', '7-of-10', '9-of-10')),
  weekday_share REAL NOT NULL CHECK (weekday_share BETWEEN 0 AND 1),
  used_share REAL NOT NULL CHECK (used_share BETWEEN 0 AND 1),
  seasons_after INTEGER NOT NULL CHECK (seasons_after BETWEEN 0 AND 4),
  share_black_percent_least REAL NOT NULL CHECK (share_black_percent_least BETWEEN 0 AND 100),
  weights TEXT NOT NULL CHECK (json_valid(weights))
) STRICT;

-- The user's own row in place of, or beside, one of the published tables. Cautions can not be overridden.
CREATE TABLE library_override (
  kind TEXT NOT NULL
    CHECK (kind IN ('communities', 'treatments', 'sequences', 'noWork', 'prescriptions')),
  key TEXT NOT NULL CHECK (key <> ''),
  content TEXT NOT NULL CHECK (json_valid(content)),
  changed_at TEXT NOT NULL,
  PRIMARY KEY (kind, key)
) STRICT;

CREATE TABLE entered_fit_days (
  prescription_key TEXT NOT NULL CHECK (prescription_key <> ''),
  month INTEGER NOT NULL CHECK (month BETWEEN 1 AND 12),
  days REAL NOT NULL CHECK (days BETWEEN 0 AND 31),
  PRIMARY KEY (prescription_key, month)
) STRICT;

-- Counts committed writes of land, facts and plans, so that others know when to compute again.
CREATE TABLE revision (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  revision INTEGER NOT NULL
) STRICT;

INSERT INTO revision (id, revision) VALUES (1, 0);

-- What changed, as a sentence: why a plan made before it is out of date.
CREATE TABLE change (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  revision INTEGER NOT NULL,
  at TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('land', 'rules', 'people', 'fact', 'weather')),
  what TEXT NOT NULL CHECK (what <> '')
) STRICT;

CREATE INDEX change_by_revision ON change (revision);
