-- Categories of smoke dispersal as the user's state or county draws them; none are assumed.
CREATE TABLE smoke_rule (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  state TEXT NOT NULL CHECK (state <> ''),
  name TEXT NOT NULL CHECK (name <> ''),
  -- Lowest ventilation of the category, square metres a second.
  least_m2s REAL NOT NULL CHECK (least_m2s >= 0),
  is_burning_allowed INTEGER NOT NULL CHECK (is_burning_allowed IN (0, 1)),
  note TEXT NOT NULL,
  UNIQUE (state, least_m2s)
) STRICT;
