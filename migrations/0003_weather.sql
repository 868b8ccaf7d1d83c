CREATE TABLE station (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE CHECK (name <> ''),
  latitude REAL NOT NULL CHECK (latitude BETWEEN -90 AND 90),
  longitude REAL NOT NULL CHECK (longitude BETWEEN -180 AND 180),
  time_zone TEXT NOT NULL CHECK (time_zone <> ''),
  is_invented INTEGER NOT NULL CHECK (is_invented IN (0, 1))
) STRICT;

-- Hourly readings of a year in UTC; a BLOB a column, 16-bit little-endian whole numbers, -32768 = missing.
CREATE TABLE weather_year (
  station_id INTEGER NOT NULL REFERENCES station (id) ON DELETE CASCADE,
  year INTEGER NOT NULL CHECK (year BETWEEN 1800 AND 2200),
  hours INTEGER NOT NULL CHECK (hours IN (8760, 8784)),
  -- Hours with at least one reading.
  observed_hours INTEGER NOT NULL CHECK (observed_hours BETWEEN 0 AND hours),
  temperature_c10 BLOB NOT NULL CHECK (length(temperature_c10) = 2 * hours),
  dew_point_c10 BLOB NOT NULL CHECK (length(dew_point_c10) = 2 * hours),
  wind_ms10 BLOB NOT NULL CHECK (length(wind_ms10) = 2 * hours),
  wind_direction_degrees BLOB NOT NULL CHECK (length(wind_direction_degrees) = 2 * hours),
  rain_mm10 BLOB NOT NULL CHECK (length(rain_mm10) = 2 * hours),
  PRIMARY KEY (station_id, year)
) STRICT;

CREATE TABLE fit_day_count (
  station_id INTEGER NOT NULL REFERENCES station (id) ON DELETE CASCADE,
  prescription_key TEXT NOT NULL CHECK (prescription_key <> ''),
  year INTEGER NOT NULL CHECK (year BETWEEN 1800 AND 2200),
  half_months TEXT NOT NULL CHECK (json_array_length(half_months) = 24),
  unknown_hours INTEGER NOT NULL CHECK (unknown_hours >= 0),
  is_whole_year INTEGER NOT NULL CHECK (is_whole_year IN (0, 1)),
  PRIMARY KEY (station_id, prescription_key, year)
) STRICT;
