-- Whoever holds the address of a crew's feed may also mark its tasks done, partly done or not possible.
ALTER TABLE feed_link ADD COLUMN may_report INTEGER NOT NULL DEFAULT 0 CHECK (may_report IN (0, 1));

-- Feeds that somebody put together; an empty list leaves that side open. Ids end up in addresses: never again.
CREATE TABLE own_feed (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  title TEXT NOT NULL CHECK (title <> ''),
  treatment_keys TEXT NOT NULL CHECK (json_valid(treatment_keys)),
  crew_ids TEXT NOT NULL CHECK (json_valid(crew_ids)),
  unit_ids TEXT NOT NULL CHECK (json_valid(unit_ids))
) STRICT;
