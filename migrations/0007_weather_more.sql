-- Gusts and snow on the ground; NULL = none on record in the year.
ALTER TABLE weather_year ADD COLUMN gust_ms10 BLOB CHECK (length(gust_ms10) = 2 * hours);
ALTER TABLE weather_year ADD COLUMN snow_cm BLOB CHECK (length(snow_cm) = 2 * hours);

-- Numbers by which the station's own files name it, by format: a file of another station is refused.
ALTER TABLE station ADD COLUMN file_ids TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(file_ids));

-- Readings of a year by local day; a BLOB a column as in weather_year.
CREATE TABLE daily_year (
  station_id INTEGER NOT NULL REFERENCES station (id) ON DELETE CASCADE,
  year INTEGER NOT NULL CHECK (year BETWEEN 1800 AND 2200),
  days INTEGER NOT NULL CHECK (days IN (365, 366)),
  -- Days with at least one reading.
  observed_days INTEGER NOT NULL CHECK (observed_days BETWEEN 0 AND days),
  high_c10 BLOB NOT NULL CHECK (length(high_c10) = 2 * days),
  low_c10 BLOB NOT NULL CHECK (length(low_c10) = 2 * days),
  rain_mm10 BLOB NOT NULL CHECK (length(rain_mm10) = 2 * days),
  snow_cm BLOB NOT NULL CHECK (length(snow_cm) = 2 * days),
  wind_ms10 BLOB NOT NULL CHECK (length(wind_ms10) = 2 * days),
  gust_ms10 BLOB NOT NULL CHECK (length(gust_ms10) = 2 * days),
  PRIMARY KEY (station_id, year)
) STRICT;

-- The newest forecast of a station.
CREATE TABLE forecast (
  station_id INTEGER PRIMARY KEY REFERENCES station (id) ON DELETE CASCADE,
  source TEXT NOT NULL CHECK (source <> ''),
  issued_at TEXT NOT NULL,
  taken_at TEXT NOT NULL,
  hours TEXT NOT NULL CHECK (json_valid(hours))
) STRICT;

-- One row; none yet = off.
CREATE TABLE forecast_service (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  is_on INTEGER NOT NULL CHECK (is_on IN (0, 1)),
  address TEXT NOT NULL CHECK (address <> ''),
  contact TEXT NOT NULL
) STRICT;
