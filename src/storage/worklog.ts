import type { Database } from 'better-sqlite3';
import { parseIsoDate } from '../core/dates.ts';
import type { Library } from '../core/library.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { Treatment } from '../core/treatments.ts';
import type { Unit } from '../core/units.ts';
import {
  checkDetail,
  checkReading,
  type DetailFacts,
  type EntryDraft,
  type EntryVersion,
  type FireReading,
  inOrder,
  photosMost,
  readingsMost,
} from '../core/work-details.ts';
import type { WorkEntry } from '../core/worklog.ts';
import { type ChangeLog, utcSeconds } from './changes.ts';
import type { DetailRepository } from './work-details.ts';

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
      db.exec('DELETE FROM entry_sent; DELETE FROM work_entry');
    },
  };
}

interface WorklogParts {
  db: Database;
  entries: ReturnType<typeof entryRepository>;
  details: DetailRepository;
  changes: ChangeLog;
  now: () => Date;
  findUnit(id: number): Unit | null;
  libraryWithOwnRows(library: Library): Library;
}

const unknownEntry: Problem = {
  code: 'entry-unknown',
  message: 'This entry is not in the work log any more.',
};

type Parts = WorklogParts & {
  words(entry: NewEntry, library: Library): string;
  problemsOf(entry: NewEntry, library: Library): Problem[];
};

function withWords(parts: WorklogParts): Parts {
  const treatmentOf = (library: Library, key: string) =>
    parts.libraryWithOwnRows(library).treatments.find((treatment) => treatment.key === key) ?? null;
  return {
    ...parts,
    words: (entry, library) =>
      `${treatmentOf(library, entry.treatmentKey)?.name ?? entry.treatmentKey} on ${parts.findUnit(entry.unitId)?.code ?? 'a unit'} (${entry.doneOn})`,
    problemsOf: (entry, library) =>
      checkEntry(entry, parts.findUnit(entry.unitId), treatmentOf(library, entry.treatmentKey)),
  };
}

/** Entries with their details, all of them or none; a form that was sent before is answered with its first entries. */
function writeAll(
  { entries, details, changes, now, words, problemsOf }: Parts,
  drafts: readonly EntryDraft[],
  sendKey: string | null,
  library: Library,
): Outcome<WorkEntry[]> {
  const sent = (sendKey === null ? null : details.sentBefore(sendKey))?.flatMap(
    (id) => entries.find(id) ?? [],
  );
  if (sent?.length) return { ok: true, value: sent };
  const problems = drafts.flatMap(({ entry, detail }) => [
    ...problemsOf(entry, library),
    ...checkDetail(detail),
  ]);
  if (problems.length > 0) return { ok: false, problems };
  const ids = drafts.map(({ entry, detail }) => {
    const id = entries.insert(entry);
    details.save(id, detail);
    changes.note('fact', `Recorded: ${words(entry, library)}.`);
    return id;
  });
  if (sendKey !== null) details.noteSent(sendKey, ids, utcSeconds(now));
  return { ok: true, value: ids.flatMap((id) => entries.find(id) ?? []) };
}

/** What is on record is kept as a version; nothing is noted when nothing changes. */
function correctOne(
  { entries, details, changes, now, words, problemsOf }: Parts,
  id: number,
  change: { entry: Partial<NewEntry>; detail: Partial<DetailFacts> },
  who: string | null,
  library: Library,
): Outcome<WorkEntry> {
  const before = entries.find(id);
  if (!before) return { ok: false, problems: [unknownEntry] };
  const detailBefore = details.find(id);
  const entry = { ...before, ...change.entry, id };
  const detail = { ...detailBefore, ...change.detail };
  const problems = [...problemsOf(entry, library), ...checkDetail(detail)];
  if (problems.length > 0) return { ok: false, problems };
  const isSame = JSON.stringify([before, detailBefore]) === JSON.stringify([entry, detail]);
  if (isSame) return { ok: true, value: before };
  details.keepVersion(id, {
    correctedAt: utcSeconds(now),
    correctedBy: who,
    entry: before,
    detail: detailBefore,
  });
  entries.update(entry);
  details.save(id, detail);
  changes.note('fact', `Corrected: ${words(entry, library)}.`);
  return { ok: true, value: entry };
}

function addReading(
  { entries, details, changes, words }: Parts,
  id: number,
  reading: FireReading,
  library: Library,
): Problem[] {
  const entry = entries.find(id);
  if (!entry) return [unknownEntry];
  const problems = checkReading(reading);
  if (problems.length > 0) return problems;
  const detail = details.find(id);
  // The button pressed twice, or sent again after the signal was lost.
  if (detail.readings.some((one) => JSON.stringify(one) === JSON.stringify(reading))) return [];
  if (detail.readings.length >= readingsMost) {
    const message = `Readings: an entry holds at most ${readingsMost}.`;
    return [{ code: 'readings-many', message }];
  }
  details.save(id, { ...detail, readings: inOrder([...detail.readings, reading]) });
  changes.note('fact', `A reading was added: ${words(entry, library)}.`);
  return [];
}

function addPhotos(
  { entries, details, changes, words }: Parts,
  id: number,
  photos: readonly { fileName: string; caption: string }[],
  library: Library,
): Problem[] {
  const entry = entries.find(id);
  if (!entry) return [unknownEntry];
  const held = details.photosOf(id).length;
  if (held + photos.length > photosMost) {
    const message = `Photos: an entry holds at most ${photosMost}; this one has ${held}.`;
    return [{ code: 'photos-many', field: 'photos', message }];
  }
  for (const photo of photos) details.insertPhoto(id, photo.fileName, photo.caption);
  changes.note('fact', `Photos were added: ${words(entry, library)}.`);
  return [];
}

/** Facts: recorded at once, corrected and removed; each of them makes an older plan out of date. */
export function worklog(worklogParts: WorklogParts) {
  const parts = withWords(worklogParts);
  const { db, entries, details, changes, words, problemsOf } = parts;
  const record = (entry: NewEntry, library: Library): Outcome<WorkEntry> => {
    const problems = problemsOf(entry, library);
    if (problems.length > 0) return { ok: false, problems };
    const id = entries.insert(entry);
    changes.note('fact', `Recorded: ${words(entry, library)}.`);
    return { ok: true, value: entries.find(id) as WorkEntry };
  };
  const recordAll = (drafts: readonly EntryDraft[], library: Library): Problem[] => {
    const problems = drafts.flatMap(({ entry }) => problemsOf(entry, library));
    if (problems.length > 0) return problems;
    for (const { entry, detail } of drafts) details.save(entries.insert(entry), detail);
    changes.note('fact', `${drafts.length} entries of earlier years were imported.`);
    return [];
  };
  const remove = (id: number, library: Library): Problem[] => {
    const entry = entries.find(id);
    if (!entry) return [unknownEntry];
    entries.remove(id);
    changes.note('fact', `Removed: ${words(entry, library)}.`);
    return [];
  };
  const removePhoto = (id: number, fileName: string, library: Library): Problem[] => {
    const entry = entries.find(id);
    if (!entry) return [unknownEntry];
    details.removePhoto(id, fileName);
    changes.note('fact', `A photo was removed: ${words(entry, library)}.`);
    return [];
  };
  return {
    list: entries.list,
    find: entries.find,
    record: db.transaction(record).immediate,
    /** All of them or none. */
    recordAll: db.transaction(recordAll).immediate,
    /** Entries with their details; `sendKey` of a form that a phone may send twice. */
    write: db.transaction(
      (drafts: readonly EntryDraft[], sendKey: string | null, library: Library) =>
        writeAll(parts, drafts, sendKey, library),
    ).immediate,
    /** Changes an entry and keeps what it was; `who` = name of the person signed in. */
    correct: db.transaction(
      (
        id: number,
        change: { entry: Partial<NewEntry>; detail: Partial<DetailFacts> },
        who: string | null,
        library: Library,
      ) => correctOne(parts, id, change, who, library),
    ).immediate,
    remove: db.transaction(remove).immediate,
    wasSent: (sendKey: string): boolean => details.sentBefore(sendKey) !== null,
    /** Details of every entry that has any, in order of entries. */
    details: details.list,
    versions: (id: number): EntryVersion[] => details.versions(id),
    addReading: db.transaction((id: number, reading: FireReading, library: Library) =>
      addReading(parts, id, reading, library),
    ).immediate,
    /** The files are in the photo folder already. */
    addPhotos: db.transaction(
      (id: number, photos: readonly { fileName: string; caption: string }[], library: Library) =>
        addPhotos(parts, id, photos, library),
    ).immediate,
    /** The file stays in the folder until it is swept, so that the row can come back. */
    removePhoto: db.transaction(removePhoto).immediate,
    photoNames: details.photoNames,
  };
}
