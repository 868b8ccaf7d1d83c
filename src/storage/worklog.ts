import type { Database } from 'better-sqlite3';
import { parseIsoDate } from '../core/dates.ts';
import type { Library } from '../core/library.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { Treatment } from '../core/treatments.ts';
import type { Unit } from '../core/units.ts';
import type { WorkEntry } from '../core/worklog.ts';
import type { ChangeLog } from './changes.ts';

type NewEntry = Omit<WorkEntry, 'id'>;

const outcomes = ['done', 'partly', 'not-possible', 'under-way'];
const amounts = {
  areaAcres: 'Acres',
  crewDays: 'Crew days',
  personHours: 'Person-hours',
  shareBlackPercent: 'Share black',
} as const;

function checkDates(entry: NewEntry, say: (field: string, message: string) => void): void {
  const { startedOn, doneOn, precision, signedOutOn } = entry;
  if (!parseIsoDate(doneOn)) say('doneOn', 'Last day: give a real day, such as 2026-11-06.');
  else if (precision === 'month' && !doneOn.endsWith('-01'))
    say('doneOn', 'Last day: a date known to the month is stored as the first of it.');
  else if (precision === 'year' && !doneOn.endsWith('-01-01'))
    say('doneOn', 'Last day: a date known to the year is stored as 1 January.');
  if (startedOn !== null && !parseIsoDate(startedOn))
    say('startedOn', 'First day: give a real day or leave it blank.');
  else if (startedOn !== null && precision === 'day' && startedOn > doneOn)
    say('startedOn', 'First day: it can not be after the last day.');
  if (signedOutOn !== null && !parseIsoDate(signedOutOn))
    say('signedOutOn', 'Signed out: give a real day or leave it blank.');
  else if (signedOutOn !== null && precision === 'day' && signedOutOn < doneOn)
    say('signedOutOn', 'Signed out: it can not be before the day of the burn.');
}

/** What is wrong with an entry as typed; whether it breaks a rule of the plan is not asked. */
function checkEntry(entry: NewEntry, unit: Unit | null, treatment: Treatment | null): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `entry-${field}`, field, message });
  if (!unit) say('unitId', 'Unit: pick a unit from the list.');
  if (!treatment) say('treatmentKey', 'Treatment: pick a treatment from the list.');
  if (!['day', 'month', 'year'].includes(entry.precision))
    say('precision', 'Date known to the: pick day, month or year.');
  if (!outcomes.includes(entry.outcome)) say('outcome', 'Outcome: pick one from the list.');
  if (entry.outcome === 'not-possible' && entry.reason.trim() === '')
    say('reason', 'Reason: say why it was not possible.');
  for (const [field, name] of Object.entries(amounts)) {
    const amount = entry[field as keyof typeof amounts];
    const most = field === 'shareBlackPercent' ? 100 : Number.MAX_VALUE;
    if (amount !== null && !(amount >= 0 && amount <= most))
      say(
        field,
        `${name}: give a number from 0 ${most === 100 ? 'to 100' : 'up'}, or leave it blank.`,
      );
  }
  const { fireCause } = entry;
  if (fireCause !== null && !['planned', 'wild', 'neighbour'].includes(fireCause))
    say('fireCause', 'Cause of the fire: pick one from the list.');
  checkDates(entry, say);
  return problems;
}

const entryColumns = `id, unit_id AS unitId, treatment_key AS treatmentKey, task_key AS taskKey,
  started_on AS startedOn, done_on AS doneOn, precision, outcome, reason, area_acres AS areaAcres,
  crew_days AS crewDays, person_hours AS personHours, share_black_percent AS shareBlackPercent,
  fire_cause AS fireCause, signed_out_on AS signedOutOn, note`;

/** Rows of the work log as they are, without checks. */
export function entryRepository(db: Database) {
  const list = db.prepare<[], WorkEntry>(`SELECT ${entryColumns} FROM work_entry ORDER BY id`);
  const find = db.prepare<[number], WorkEntry>(
    `SELECT ${entryColumns} FROM work_entry WHERE id = ?`,
  );
  const insert = db.prepare(
    `INSERT INTO work_entry (id, unit_id, treatment_key, task_key, started_on, done_on, precision, outcome,
       reason, area_acres, crew_days, person_hours, share_black_percent, fire_cause, signed_out_on, note)
     VALUES (@id, @unitId, @treatmentKey, @taskKey, @startedOn, @doneOn, @precision, @outcome,
       @reason, @areaAcres, @crewDays, @personHours, @shareBlackPercent, @fireCause, @signedOutOn, @note)`,
  );
  const update = db.prepare(
    `UPDATE work_entry SET unit_id = @unitId, treatment_key = @treatmentKey, task_key = @taskKey,
       started_on = @startedOn, done_on = @doneOn, precision = @precision, outcome = @outcome,
       reason = @reason, area_acres = @areaAcres, crew_days = @crewDays, person_hours = @personHours,
       share_black_percent = @shareBlackPercent, fire_cause = @fireCause, signed_out_on = @signedOutOn,
       note = @note
     WHERE id = @id`,
  );
  const remove = db.prepare('DELETE FROM work_entry WHERE id = ?');
  return {
    list: (): WorkEntry[] => list.all(),
    find: (id: number): WorkEntry | null => find.get(id) ?? null,
    insert: (entry: WorkEntry | NewEntry): number =>
      Number(insert.run({ id: null, ...entry }).lastInsertRowid),
    update: (entry: WorkEntry): void => {
      update.run(entry);
    },
    remove: (id: number): void => {
      remove.run(id);
    },
    clear: (): void => {
      db.exec('DELETE FROM work_entry');
    },
  };
}

interface WorklogParts {
  db: Database;
  entries: ReturnType<typeof entryRepository>;
  changes: ChangeLog;
  findUnit(id: number): Unit | null;
  libraryWithOwnRows(library: Library): Library;
}

const unknownEntry: Problem = {
  code: 'entry-unknown',
  message: 'This entry is not in the work log any more.',
};

/** Facts: recorded at once, corrected and removed; each of them makes an older plan out of date. */
export function worklog({ db, entries, changes, findUnit, libraryWithOwnRows }: WorklogParts) {
  const words = (entry: NewEntry, treatment: Treatment | null) =>
    `${treatment?.name ?? entry.treatmentKey} on ${findUnit(entry.unitId)?.code ?? 'a unit'} (${entry.doneOn})`;
  const treatmentOf = (library: Library, key: string) =>
    libraryWithOwnRows(library).treatments.find((treatment) => treatment.key === key) ?? null;
  const record = (entry: NewEntry, library: Library): Outcome<WorkEntry> => {
    const treatment = treatmentOf(library, entry.treatmentKey);
    const problems = checkEntry(entry, findUnit(entry.unitId), treatment);
    if (problems.length > 0) return { ok: false, problems };
    const id = entries.insert(entry);
    changes.note('fact', `Recorded: ${words(entry, treatment)}.`);
    return { ok: true, value: entries.find(id) as WorkEntry };
  };
  const recordAll = (rows: readonly NewEntry[], library: Library): Problem[] => {
    const problems = rows.flatMap((entry) =>
      checkEntry(entry, findUnit(entry.unitId), treatmentOf(library, entry.treatmentKey)),
    );
    if (problems.length > 0) return problems;
    rows.forEach(entries.insert);
    changes.note('fact', `${rows.length} entries of earlier years were imported.`);
    return [];
  };
  const correct = (id: number, change: Partial<NewEntry>, library: Library): Outcome<WorkEntry> => {
    const before = entries.find(id);
    if (!before) return { ok: false, problems: [unknownEntry] };
    const entry = { ...before, ...change, id };
    const treatment = treatmentOf(library, entry.treatmentKey);
    const problems = checkEntry(entry, findUnit(entry.unitId), treatment);
    if (problems.length > 0) return { ok: false, problems };
    entries.update(entry);
    changes.note('fact', `Corrected: ${words(entry, treatment)}.`);
    return { ok: true, value: entry };
  };
  const remove = (id: number, library: Library): Problem[] => {
    const entry = entries.find(id);
    if (!entry) return [unknownEntry];
    entries.remove(id);
    changes.note('fact', `Removed: ${words(entry, treatmentOf(library, entry.treatmentKey))}.`);
    return [];
  };
  return {
    list: entries.list,
    find: entries.find,
    record: db.transaction(record).immediate,
    /** All of them or none. */
    recordAll: db.transaction(recordAll).immediate,
    correct: db.transaction(correct).immediate,
    remove: db.transaction(remove).immediate,
  };
}
