-- Fit days counted for one kind of ground under one prescription at one station: kept because counting takes a moment.
-- `rule` is a digest of all that the days were judged by; a row with another digest is out of date.
CREATE TABLE site_fit_days (
  station_id INTEGER NOT NULL REFERENCES station (id) ON DELETE CASCADE,
  site_key TEXT NOT NULL CHECK (site_key <> ''),
  rule TEXT NOT NULL CHECK (rule <> ''),
  content TEXT NOT NULL CHECK (json_valid(content)),
  PRIMARY KEY (station_id, site_key)
) STRICT;

-- Readings that change make every count of their station out of date.
CREATE TRIGGER site_fit_days_of_new_readings AFTER INSERT ON weather_year BEGIN
  DELETE FROM site_fit_days WHERE station_id = NEW.station_id;
END;
CREATE TRIGGER site_fit_days_of_dropped_readings AFTER DELETE ON weather_year BEGIN
  DELETE FROM site_fit_days WHERE station_id = OLD.station_id;
END;
CREATE TRIGGER site_fit_days_of_new_days AFTER INSERT ON daily_year BEGIN
  DELETE FROM site_fit_days WHERE station_id = NEW.station_id;
END;
CREATE TRIGGER site_fit_days_of_dropped_days AFTER DELETE ON daily_year BEGIN
  DELETE FROM site_fit_days WHERE station_id = OLD.station_id;
END;
