import type { Operation } from '../core/operation.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { WorkDetail } from '../core/work-details.ts';
import type { WorkEntry } from '../core/worklog.ts';
import { csvText } from '../exchange/csv-text.ts';
import { cleanPhoto } from '../exchange/photo.ts';
import { writeFault } from '../storage/write-faults.ts';
import type { Deps } from '../web/deps.ts';
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

/** Names photos that are in the folder in the database; when that is refused the files go again. */
function addPhotos(
  { store, library }: OperationFile,
  entryId: number,
  added: readonly { fileName: string; caption: string }[],
): Problem[] {
  let isNamed = false;
  try {
    const problems = store.worklog.addPhotos(entryId, added, library);
    isNamed = problems.length === 0;
    return problems;
  } finally {
    if (!isNamed) for (const { fileName } of added) store.photos?.drop(fileName);
  }
}

function keepPhoto({ store }: OperationFile, name: string, bytes: Uint8Array): Outcome<string> {
  const { photos } = store;
  if (!photos) {
    const message = 'Photos: a database in memory keeps none.';
    return { ok: false, problems: [{ code: 'photos-nowhere', field: 'photos', message }] };
  }
  const cleaned = cleanPhoto(name, bytes);
  if (!cleaned.ok) return cleaned;
  return { ok: true, value: photos.put(cleaned.value.bytes, cleaned.value.ending) };
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
    wasSent: worklog.wasSent,
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
    keepPhoto: (name, bytes) =>
      orDiskProblems(() => keepPhoto(file, name, bytes), asOutcome<string>),
    dropPhotos: (names) => {
      for (const name of names) photos?.drop(name);
    },
    addPhotos: (entryId, added) =>
      orDiskProblems(() => addPhotos(file, entryId, added), asProblems),
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
