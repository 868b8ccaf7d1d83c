import type { Database } from 'better-sqlite3';
import { parseIsoDate, parseMonthDay, yearOf } from '../core/dates.ts';
import type { Problem } from '../core/problems.ts';
import type { Landowner, Property } from '../core/properties.ts';
import { type AnchorName, type Anchors, anchorNames } from '../core/seasons.ts';

interface PropertyRow extends Omit<Property, 'anchors' | 'isSample'> {
  anchorsUsual: string;
  isSample: number;
}

type AnchorYear = Anchors['byYear'][number];

/** True for a zone name that the program can count days by. */
export function isTimeZone(name: string): boolean {
  try {
    return new Intl.DateTimeFormat('en-US', { timeZone: name }).resolvedOptions().timeZone !== '';
  } catch {
    return false;
  }
}

/** What is wrong with a landowner as entered; empty = the row can be stored. */
export function checkLandowner(owner: Omit<Landowner, 'id'>): Problem[] {
  if (owner.name.trim() !== '') return [];
  return [{ code: 'landowner-name', field: 'name', message: 'Name: give the landowner a name.' }];
}

/** What is wrong with a property as entered; empty = it can be stored. */
export function checkProperty(property: Omit<Property, 'id' | 'landownerId'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `property-${field}`, field, message });
  if (property.name.trim() === '') say('name', 'Name: give the property a name.');
  if (!/^[A-Z]{2}$/.test(property.state))
    say('state', 'State: give the two-letter code in capitals, such as MO.');
  if (!isTimeZone(property.timeZone))
    say('timeZone', 'Time zone: give an IANA name, such as America/Chicago.');
  if (!(Math.abs(property.latitude) <= 90))
    say('latitude', 'Latitude: give degrees from -90 to 90.');
  if (!(Math.abs(property.longitude) <= 180))
    say('longitude', 'Longitude: give degrees from -180 to 180; west of Greenwich is negative.');
  if (!parseMonthDay(property.burningSeasonStart))
    say('burningSeasonStart', 'Start of the burning season: give a month and day, such as 07-01.');
  if (!parseMonthDay(property.growingSeasonEnd))
    say('growingSeasonEnd', 'End of the growing season: give a month and day, such as 10-01.');
  for (const anchor of anchorNames)
    if (!parseMonthDay(property.anchors.usual[anchor]))
      say('anchors', `Usual ${anchor}: give a month and day, such as 04-12.`);
  return problems;
}

/** What is wrong with the date of an anchor in one year. */
export function checkAnchorYear(year: number, date: string): Problem[] {
  const parsed = parseIsoDate(date);
  if (parsed && yearOf(parsed) === year) return [];
  const message = `Date: give a real day of ${year}, such as ${year}-04-12.`;
  return [{ code: 'anchor-date', field: 'date', message }];
}

const propertyColumns = `id, landowner_id AS landownerId, name, state, county, time_zone AS timeZone, latitude,
  longitude, burning_season_start AS burningSeasonStart, growing_season_end AS growingSeasonEnd,
  anchors_usual AS anchorsUsual, neighbour_rule AS neighbourRule, is_sample AS isSample`;

function toProperty({ anchorsUsual, ...row }: PropertyRow, byYear: AnchorYear[]): Property {
  const usual = JSON.parse(anchorsUsual) as Anchors['usual'];
  return { ...row, anchors: { usual, byYear }, isSample: row.isSample === 1 };
}

function fromProperty(property: Property | Omit<Property, 'id'>) {
  return {
    id: null,
    ...property,
    anchorsUsual: JSON.stringify(property.anchors.usual),
    isSample: Number(property.isSample),
  };
}

/** Landowners, properties and their anchors. */
export function propertyRepository(db: Database) {
  const listOwners = db.prepare<[], Landowner>(
    'SELECT id, name, contact FROM landowner ORDER BY id',
  );
  const insertOwner = db.prepare(
    'INSERT INTO landowner (id, name, contact) VALUES (@id, @name, @contact)',
  );
  const updateOwner = db.prepare(
    'UPDATE landowner SET name = @name, contact = @contact WHERE id = @id',
  );
  const list = db.prepare<[], PropertyRow>(`SELECT ${propertyColumns} FROM property ORDER BY id`);
  const insert = db.prepare(
    `INSERT INTO property (id, landowner_id, name, state, county, time_zone, latitude, longitude,
       burning_season_start, growing_season_end, anchors_usual, neighbour_rule, is_sample)
     VALUES (@id, @landownerId, @name, @state, @county, @timeZone, @latitude, @longitude,
       @burningSeasonStart, @growingSeasonEnd, @anchorsUsual, @neighbourRule, @isSample)`,
  );
  const update = db.prepare(
    `UPDATE property SET landowner_id = @landownerId, name = @name, state = @state, county = @county,
       time_zone = @timeZone, latitude = @latitude, longitude = @longitude,
       burning_season_start = @burningSeasonStart, growing_season_end = @growingSeasonEnd,
       anchors_usual = @anchorsUsual, neighbour_rule = @neighbourRule
     WHERE id = @id`,
  );
  const dropYears = db.prepare('DELETE FROM anchor_year WHERE property_id = ?');
  const setUsual = db.prepare('UPDATE property SET anchors_usual = ? WHERE id = ?');
  const listYears = db.prepare<[], AnchorYear & { propertyId: number }>(
    `SELECT property_id AS propertyId, anchor, year, date, how FROM anchor_year
     ORDER BY property_id, year, anchor`,
  );
  const saveYear = db.prepare(
    `INSERT INTO anchor_year (property_id, anchor, year, date, how)
     VALUES (@propertyId, @anchor, @year, @date, @how)
     ON CONFLICT DO UPDATE SET date = excluded.date, how = excluded.how`,
  );
  const dropYear = db.prepare(
    'DELETE FROM anchor_year WHERE property_id = ? AND anchor = ? AND year = ?',
  );
  const all = (): Property[] => {
    const years = listYears.all();
    return list.all().map((row) => {
      const own = years.filter((year) => year.propertyId === row.id);
      return toProperty(
        row,
        own.map(({ propertyId: _, ...year }) => year),
      );
    });
  };
  return {
    landowners: (): Landowner[] => listOwners.all(),
    list: all,
    find: (id: number): Property | null => all().find((property) => property.id === id) ?? null,
    insertLandowner: (owner: Landowner | Omit<Landowner, 'id'>): number =>
      Number(insertOwner.run({ id: null, ...owner }).lastInsertRowid),
    updateLandowner: (owner: Landowner): void => {
      updateOwner.run(owner);
    },
    update: (property: Property): void => {
      update.run(fromProperty(property));
      dropYears.run(property.id);
      for (const year of property.anchors.byYear)
        saveYear.run({ ...year, propertyId: property.id });
    },
    insert: (property: Property | Omit<Property, 'id'>): number => {
      const propertyId = Number(insert.run(fromProperty(property)).lastInsertRowid);
      for (const year of property.anchors.byYear) saveYear.run({ ...year, propertyId });
      return propertyId;
    },
    setAnchorUsual: (property: Property, usual: Anchors['usual']): void => {
      setUsual.run(JSON.stringify(usual), property.id);
    },
    setAnchorYear: (propertyId: number, year: AnchorYear): void => {
      saveYear.run({ ...year, propertyId });
    },
    dropAnchorYear: (propertyId: number, anchor: AnchorName, year: number): void => {
      dropYear.run(propertyId, anchor, year);
    },
    clear: (): void => {
      db.exec('DELETE FROM property; DELETE FROM landowner');
    },
  };
}
