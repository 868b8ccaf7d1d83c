import type { Database } from 'better-sqlite3';
import type { Crew, Gear } from '../core/crews.ts';
import { type DateRange, parseIsoDate } from '../core/dates.ts';
import type { Problem } from '../core/problems.ts';
import type { Holiday } from '../core/properties.ts';

interface CrewRow extends Omit<Crew, 'skills' | 'workdays' | 'daysOff' | 'onSpans'> {
  skills: string;
  workdays: string;
  daysOff: string;
  onSpans: string | null;
}

interface GearRow extends Omit<Gear, 'daysOff'> {
  daysOff: string;
}

function isSpan({ startsOn, endsBefore }: DateRange): boolean {
  return (
    parseIsoDate(startsOn) !== null && parseIsoDate(endsBefore) !== null && startsOn < endsBefore
  );
}

/** What is wrong with a crew as entered; empty = it can be stored. */
export function checkCrew(crew: Omit<Crew, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `crew-${field}`, field, ref: crew.name, message });
  const { workdays } = crew;
  if (crew.name.trim() === '') say('name', 'Name: give the crew a name.');
  if (!(Number.isInteger(crew.peopleCount) && crew.peopleCount >= 1))
    say('peopleCount', 'People: give a whole number from 1 up.');
  if (!workdays.every((day) => Number.isInteger(day) && day >= 1 && day <= 7))
    say('workdays', 'Workdays: give days from 1, Monday, to 7, Sunday.');
  if (new Set(workdays).size !== workdays.length) say('workdays', 'Workdays: name each day once.');
  if (!(crew.costPerDayUsd >= 0 && Number.isFinite(crew.costPerDayUsd)))
    say('costPerDayUsd', 'Cost a day: give dollars from 0 up.');
  if (!(crew.spreadDaysPerWeek >= 0 && crew.spreadDaysPerWeek <= 7))
    say('spreadDaysPerWeek', 'Days a week on spread work: give a number from 0 to 7.');
  if (!crew.daysOff.every(isSpan))
    say('daysOff', 'Days off: each span needs two real days, the first one before the last one.');
  if (crew.onSpans !== null && !crew.onSpans.every(isSpan))
    say('onSpans', 'On site: each span needs two real days, the first one before the last one.');
  return problems;
}

/** What is wrong with gear as entered; empty = it can be stored. */
export function checkGear(gear: Gear): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `gear-${field}`, field, ref: gear.key, message });
  if (!/^[a-z0-9]+(-[a-z0-9]+)*$/.test(gear.key))
    say('key', 'Key: use small letters and digits with hyphens between, such as burn-trailer.');
  if (gear.name.trim() === '') say('name', 'Name: give the gear a name.');
  if (!(Number.isInteger(gear.count) && gear.count >= 0))
    say('count', 'Count: give a whole number from 0 up.');
  if (!gear.daysOff.every(isSpan))
    say('daysOff', 'Days off: each span needs two real days, the first one before the last one.');
  return problems;
}

/** What is wrong with a holiday as entered; empty = it can be stored. */
export function checkHoliday(holiday: Holiday): Problem[] {
  if (parseIsoDate(holiday.date)) return [];
  const message = 'Date: give a real day, such as 2026-11-26.';
  return [{ code: 'holiday-date', field: 'date', message }];
}

const crewColumns = `id, name, kind, people_count AS peopleCount, skills, workdays, days_off AS daysOff,
  on_spans AS onSpans, cost_per_day_usd AS costPerDayUsd, spread_days_per_week AS spreadDaysPerWeek`;

function toCrew(row: CrewRow): Crew {
  return {
    ...row,
    skills: JSON.parse(row.skills) as string[],
    workdays: JSON.parse(row.workdays) as number[],
    daysOff: JSON.parse(row.daysOff) as DateRange[],
    onSpans: row.onSpans === null ? null : (JSON.parse(row.onSpans) as DateRange[]),
  };
}

function fromCrew(crew: Crew | Omit<Crew, 'id'>) {
  return {
    id: null,
    ...crew,
    skills: JSON.stringify(crew.skills),
    workdays: JSON.stringify(crew.workdays),
    daysOff: JSON.stringify(crew.daysOff),
    onSpans: crew.onSpans === null ? null : JSON.stringify(crew.onSpans),
  };
}

/** Crews, shared gear and the holidays of all crews. */
export function crewRepository(db: Database) {
  const list = db.prepare<[], CrewRow>(`SELECT ${crewColumns} FROM crew ORDER BY id`);
  const find = db.prepare<[number], CrewRow>(`SELECT ${crewColumns} FROM crew WHERE id = ?`);
  const insert = db.prepare(
    `INSERT INTO crew (id, name, kind, people_count, skills, workdays, days_off, on_spans, cost_per_day_usd,
       spread_days_per_week)
     VALUES (@id, @name, @kind, @peopleCount, @skills, @workdays, @daysOff, @onSpans, @costPerDayUsd,
       @spreadDaysPerWeek)`,
  );
  const update = db.prepare(
    `UPDATE crew SET name = @name, kind = @kind, people_count = @peopleCount, skills = @skills,
       workdays = @workdays, days_off = @daysOff, on_spans = @onSpans, cost_per_day_usd = @costPerDayUsd,
       spread_days_per_week = @spreadDaysPerWeek
     WHERE id = @id`,
  );
  const listGear = db.prepare<[], GearRow>(
    'SELECT key, name, count, days_off AS daysOff FROM gear ORDER BY key',
  );
  const insertGear = db.prepare(
    'INSERT INTO gear (key, name, count, days_off) VALUES (@key, @name, @count, @daysOff)',
  );
  const updateGear = db.prepare(
    'UPDATE gear SET name = @name, count = @count, days_off = @daysOff WHERE key = @key',
  );
  const listHolidays = db.prepare<[], Holiday>('SELECT date, name FROM holiday ORDER BY date');
  const insertHoliday = db.prepare('INSERT INTO holiday (date, name) VALUES (@date, @name)');
  const updateHoliday = db.prepare('UPDATE holiday SET name = @name WHERE date = @date');
  return {
    list: (): Crew[] => list.all().map(toCrew),
    find: (id: number): Crew | null => {
      const row = find.get(id);
      return row ? toCrew(row) : null;
    },
    insert: (crew: Crew | Omit<Crew, 'id'>): number =>
      Number(insert.run(fromCrew(crew)).lastInsertRowid),
    update: (crew: Crew): void => {
      update.run(fromCrew(crew));
    },
    gear: (): Gear[] =>
      listGear.all().map((row) => ({ ...row, daysOff: JSON.parse(row.daysOff) as DateRange[] })),
    insertGear: (gear: Gear): void => {
      insertGear.run({ ...gear, daysOff: JSON.stringify(gear.daysOff) });
    },
    updateGear: (gear: Gear): void => {
      updateGear.run({ ...gear, daysOff: JSON.stringify(gear.daysOff) });
    },
    holidays: (): Holiday[] => listHolidays.all(),
    insertHoliday: (holiday: Holiday): void => {
      insertHoliday.run(holiday);
    },
    updateHoliday: (holiday: Holiday): void => {
      updateHoliday.run(holiday);
    },
    clear: (): void => {
      db.exec('DELETE FROM crew; DELETE FROM gear; DELETE FROM holiday');
    },
  };
}
