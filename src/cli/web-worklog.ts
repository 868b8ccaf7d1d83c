import type { Operation } from '../core/operation.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { photosMost, type WorkDetail } from '../core/work-details.ts';
import type { WorkEntry } from '../core/worklog.ts';
import { csvText } from '../exchange/csv-text.ts';
import { cleanPhoto } from '../exchange/photo.ts';
import { writeFault } from '../storage/write-faults.ts';
import type { Deps, PhotoUpload } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { currentPerson } from './person.ts';

/** A write that a full or read-only disk refuses is a problem with a sentence, so that the form is shown as typed. */
function orDiskProblems<T>(write: () => T, refused: (problems: Problem[]) => T): T {
  try {
    return write();
  } catch (error) {
    const problem = writeFault(error);
    if (!problem) throw error;
    return refused([problem]);
  }
}

const asOutcome = <T>(problems: Problem[]): Outcome<T> => ({ ok: false, problems });
const asProblems = (problems: Problem[]): Problem[] => problems;

/** All photos of a form or none: cleaned, written to the folder, then named in the database. */
function addPhotos(
  { store, library }: OperationFile,
  entryId: number,
  uploads: readonly PhotoUpload[],
): Problem[] {
  const { photos, worklog } = store;
  const say = (code: string, message: string) => [{ code, field: 'photos', message }];
  if (!photos) return say('photos-nowhere', 'Photos: a database in memory keeps none.');
  if (uploads.length === 0) return say('photos-none', 'Photos: choose at least one.');
  if (uploads.length > photosMost)
    return say('photos-many', `Photos: an entry holds at most ${photosMost}.`);
  const cleaned = uploads.map(({ name, bytes }) => cleanPhoto(name, bytes));
  const problems = cleaned.flatMap((one) => (one.ok ? [] : one.problems));
  if (problems.length > 0) return problems;
  const written: { fileName: string; caption: string }[] = [];
  let isNamed = false;
  try {
    for (const [index, photo] of cleaned.entries())
      if (photo.ok)
        written.push({
          fileName: photos.put(photo.value.bytes, photo.value.ending),
          caption: uploads[index]?.caption ?? '',
        });
    const refused = worklog.addPhotos(entryId, written, library);
    isNamed = refused.length === 0;
    return refused;
  } finally {
    if (!isNamed) for (const { fileName } of written) photos.drop(fileName);
  }
}

const columns = [
  'entry',
  'property',
  'unit',
  'unit_name',
  'treatment',
  'family',
  'first_day',
  'last_day',
  'known_to_the',
  'outcome',
  'acres',
  'person_hours',
  'crew_days',
  'money_usd',
  'gear_hours',
  'share_black_percent',
  'fire_cause',
  'signed_out_on',
  'reason',
  'note',
  'no_work_rules',
  'no_work_approved_by',
  'no_work_reference',
  'no_work_reason',
  'readings',
  'photos',
];

/** Entries as comma-separated values, one line each; days are `YYYY-MM-DD`. */
export function entryTable(
  operation: Operation,
  entries: readonly WorkEntry[],
  details: readonly WorkDetail[],
): string {
  const by = <T extends { id: number }>(rows: readonly T[]) =>
    new Map(rows.map((row) => [row.id, row]));
  const [units, properties] = [by(operation.units), by(operation.properties)];
  const gear = new Map(operation.gear.map((one) => [one.key, one]));
  const treatments = new Map(operation.treatments.map((one) => [one.key, one]));
  const detailOf = new Map(details.map((one) => [one.entryId, one]));
  const rows = entries.map((entry) => {
    const unit = units.get(entry.unitId);
    const treatment = treatments.get(entry.treatmentKey);
    const detail = detailOf.get(entry.id);
    const gearHours = (detail?.gearHours ?? []).map(
      ({ gearKey, hours }) => `${gear.get(gearKey)?.name ?? 'gear'} ${hours}`,
    );
    const place = [properties.get(unit?.propertyId ?? 0)?.name ?? '', unit?.code ?? ''];
    const work = [treatment?.name ?? entry.treatmentKey, treatment?.family ?? ''];
    const days = [entry.startedOn, entry.doneOn, entry.precision, entry.outcome];
    const amounts = [entry.areaAcres, entry.personHours, entry.crewDays, detail?.moneyUsd ?? null];
    const fire = [entry.shareBlackPercent, entry.fireCause, entry.signedOutOn];
    const noWork = detail?.noWork;
    const rule = [noWork?.rules.join('; ') ?? '', noWork?.approvedBy ?? ''];
    return [
      entry.id,
      ...place,
      unit?.name ?? '',
      ...work,
      ...days,
      ...amounts,
      gearHours.join('; '),
      ...fire,
      entry.reason,
      entry.note,
      ...rule,
      noWork?.reference ?? '',
      noWork?.reason ?? '',
      detail?.readings.length ?? 0,
      detail?.photos.length ?? 0,
    ];
  });
  return csvText([columns, ...rows]);
}

/** The work log for the pages. */
export function webWorklog(file: OperationFile): Deps['worklog'] {
  const { store, library } = file;
  const { worklog, photos } = store;
  let known: { revision: number; details: WorkDetail[] } | null = null;
  const details = (): WorkDetail[] => {
    const revision = store.revision();
    if (known?.revision !== revision) known = { revision, details: worklog.details() };
    return known.details;
  };
  const photosOf = (entryId: number) =>
    details().find((detail) => detail.entryId === entryId)?.photos ?? [];
  const correct: Deps['worklog']['correct'] = (entryId, change) =>
    orDiskProblems(
      () => worklog.correct(entryId, change, currentPerson()?.name ?? null, library),
      asOutcome<WorkEntry>,
    );
  return {
    record: (entry) => orDiskProblems(() => worklog.record(entry, library), asOutcome<WorkEntry>),
    write: (drafts, sendKey) =>
      orDiskProblems(() => worklog.write(drafts, sendKey, library), asOutcome<WorkEntry[]>),
    correct,
    signOut: (entryId, signedOutOn) => {
      const outcome = correct(entryId, { entry: { signedOutOn }, detail: {} });
      return outcome.ok ? [] : outcome.problems;
    },
    remove: (entryId) =>
      orDiskProblems(() => {
        const names = photosOf(entryId);
        const problems = worklog.remove(entryId, library);
        if (problems.length === 0) photos?.letGo(names);
        return problems;
      }, asProblems),
    details,
    versions: worklog.versions,
    addReading: (entryId, reading) =>
      orDiskProblems(() => worklog.addReading(entryId, reading, library), asProblems),
    addPhotos: (entryId, uploads) =>
      orDiskProblems(() => addPhotos(file, entryId, uploads), asProblems),
    removePhoto: (entryId, fileName) =>
      orDiskProblems(() => {
        if (!photosOf(entryId).includes(fileName)) return [];
        const problems = worklog.removePhoto(entryId, fileName, library);
        if (problems.length === 0) photos?.letGo([fileName]);
        return problems;
      }, asProblems),
    photo: (entryId, fileName) =>
      photosOf(entryId).includes(fileName) ? (photos?.read(fileName) ?? null) : null,
    table: (entries) => entryTable(file.operation(), entries, details()),
  };
}
