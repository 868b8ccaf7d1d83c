import type { Database } from 'better-sqlite3';
import {
  type DetailFacts,
  type EntryVersion,
  inOrder,
  noDetail,
  type WorkDetail,
} from '../core/work-details.ts';

export type DetailRepository = ReturnType<typeof detailRepository>;

interface DetailRow {
  entryId: number;
  moneyUsd: number | null;
  gearHours: string;
  startedAt: string | null;
  endedAt: string | null;
  readings: string;
  noWork: string | null;
}

interface PhotoRow {
  entryId: number;
  fileName: string;
  caption: string;
}

interface VersionRow {
  correctedAt: string;
  correctedBy: string | null;
  content: string;
}

function toDetail(row: DetailRow): DetailFacts {
  const { entryId: _, gearHours, readings, noWork, ...rest } = row;
  return {
    ...rest,
    gearHours: JSON.parse(gearHours) as DetailFacts['gearHours'],
    readings: JSON.parse(readings) as DetailFacts['readings'],
    noWork: noWork === null ? null : (JSON.parse(noWork) as DetailFacts['noWork'] & object),
  };
}

function fromDetail(entryId: number, detail: DetailFacts): DetailRow {
  const { moneyUsd, startedAt, endedAt, noWork } = detail;
  return {
    entryId,
    moneyUsd,
    startedAt,
    endedAt,
    gearHours: JSON.stringify(detail.gearHours),
    readings: JSON.stringify(detail.readings),
    noWork: noWork ? JSON.stringify(noWork) : null,
  };
}

function isNothing({ moneyUsd, gearHours, startedAt, endedAt, readings, noWork }: DetailFacts) {
  const isBlank = moneyUsd === null && startedAt === null && endedAt === null && !noWork;
  return isBlank && gearHours.length === 0 && readings.length === 0;
}

/** Two details as one. */
function joinedDetail(one: DetailFacts, other: DetailFacts): DetailFacts {
  const money = [one.moneyUsd, other.moneyUsd].filter((dollars) => dollars !== null);
  const gear = new Map<string, number>();
  for (const { gearKey, hours } of [...one.gearHours, ...other.gearHours])
    gear.set(gearKey, (gear.get(gearKey) ?? 0) + hours);
  const rules = [...new Set([...(one.noWork?.rules ?? []), ...(other.noWork?.rules ?? [])])];
  const said = (field: 'approvedBy' | 'reference' | 'reason') =>
    [...new Set([one.noWork?.[field], other.noWork?.[field]])].filter((text) => text).join('; ');
  return {
    moneyUsd: money.length === 0 ? null : money.reduce((sum, dollars) => sum + dollars, 0),
    gearHours: [...gear].map(([gearKey, hours]) => ({ gearKey, hours })),
    startedAt: one.startedAt ?? other.startedAt,
    endedAt: one.endedAt ?? other.endedAt,
    readings: inOrder([...one.readings, ...other.readings]),
    noWork:
      one.noWork || other.noWork
        ? {
            rules,
            approvedBy: said('approvedBy'),
            reference: said('reference'),
            reason: said('reason'),
          }
        : null,
  };
}

const detailColumns = `entry_id AS entryId, money_usd AS moneyUsd, gear_hours AS gearHours,
  started_at AS startedAt, ended_at AS endedAt, readings, no_work AS noWork`;

/** What entries were before they were corrected. */
function versionRows(db: Database) {
  const versions = db.prepare<[number], VersionRow>(
    `SELECT corrected_at AS correctedAt, corrected_by AS correctedBy, content
     FROM entry_version WHERE entry_id = ? ORDER BY id DESC`,
  );
  const insertVersion = db.prepare(
    'INSERT INTO entry_version (entry_id, corrected_at, corrected_by, content) VALUES (?, ?, ?, ?)',
  );
  const moveVersions = db.prepare('UPDATE entry_version SET entry_id = ? WHERE entry_id = ?');
  return {
    /** Newest first. */
    versions: (entryId: number): EntryVersion[] =>
      versions.all(entryId).map(({ content, ...row }) => ({ ...row, ...JSON.parse(content) })),
    keepVersion: (entryId: number, version: EntryVersion): void => {
      const { correctedAt, correctedBy, ...content } = version;
      insertVersion.run(entryId, correctedAt, correctedBy, JSON.stringify(content));
    },
    moveVersions: (fromId: number, toId: number): void => {
      moveVersions.run(toId, fromId);
    },
  };
}

/** Forms that were sent, by their random keys. */
function sendKeys(db: Database) {
  const sent = db
    .prepare<[string], string>('SELECT entry_ids FROM entry_sent WHERE send_key = ?')
    .pluck();
  const noteSent = db.prepare(
    'INSERT OR REPLACE INTO entry_sent (send_key, entry_ids, sent_at) VALUES (?, ?, ?)',
  );
  return {
    /** Entries that a form of this key wrote; null = it was not sent before. */
    sentBefore: (sendKey: string): number[] | null => {
      const ids = sent.get(sendKey);
      return ids === undefined ? null : (JSON.parse(ids) as number[]);
    },
    noteSent: (sendKey: string, entryIds: readonly number[], at: string): void => {
      noteSent.run(sendKey, JSON.stringify(entryIds), at);
    },
  };
}

/** Details, photos, versions and send keys of entries; they go with their entry. */
export function detailRepository(db: Database) {
  const versions = versionRows(db);
  const all = db.prepare<[], DetailRow>(
    `SELECT ${detailColumns} FROM work_detail ORDER BY entry_id`,
  );
  const one = db.prepare<[number], DetailRow>(
    `SELECT ${detailColumns} FROM work_detail WHERE entry_id = ?`,
  );
  const save = db.prepare(
    `INSERT INTO work_detail (entry_id, money_usd, gear_hours, started_at, ended_at, readings, no_work)
     VALUES (@entryId, @moneyUsd, @gearHours, @startedAt, @endedAt, @readings, @noWork)
     ON CONFLICT (entry_id) DO UPDATE SET money_usd = @moneyUsd, gear_hours = @gearHours,
       started_at = @startedAt, ended_at = @endedAt, readings = @readings, no_work = @noWork`,
  );
  const drop = db.prepare('DELETE FROM work_detail WHERE entry_id = ?');
  const photos = db.prepare<[], PhotoRow>(
    'SELECT entry_id AS entryId, file_name AS fileName, caption FROM work_photo ORDER BY entry_id, id',
  );
  const photosOf = db.prepare<[number], PhotoRow>(
    'SELECT entry_id AS entryId, file_name AS fileName, caption FROM work_photo WHERE entry_id = ? ORDER BY id',
  );
  const insertPhoto = db.prepare(
    'INSERT INTO work_photo (entry_id, file_name, caption) VALUES (?, ?, ?)',
  );
  const removePhoto = db.prepare('DELETE FROM work_photo WHERE entry_id = ? AND file_name = ?');
  const movePhotos = db.prepare('UPDATE work_photo SET entry_id = ? WHERE entry_id = ?');
  const find = (entryId: number): DetailFacts => {
    const row = one.get(entryId);
    return row ? toDetail(row) : noDetail;
  };
  const saveDetail = (entryId: number, detail: DetailFacts): void => {
    if (isNothing(detail)) drop.run(entryId);
    else save.run(fromDetail(entryId, detail));
  };
  return {
    list: (): WorkDetail[] => {
      const byEntry = new Map<number, WorkDetail>();
      for (const row of all.all())
        byEntry.set(row.entryId, {
          entryId: row.entryId,
          ...toDetail(row),
          photos: [],
          captions: [],
        });
      for (const { entryId, fileName, caption } of photos.all()) {
        const detail = byEntry.get(entryId) ?? { entryId, ...noDetail, photos: [], captions: [] };
        detail.photos.push(fileName);
        detail.captions?.push(caption);
        byEntry.set(entryId, detail);
      }
      return [...byEntry.values()].sort((a, b) => a.entryId - b.entryId);
    },
    find,
    /** A detail that says nothing takes no row. */
    save: saveDetail,
    /** Adds what stands beside one entry to another: amounts are summed, readings, photos and versions go over. */
    join: (fromId: number, toId: number): void => {
      const [from, to] = [find(fromId), find(toId)];
      saveDetail(toId, joinedDetail(to, from));
      movePhotos.run(toId, fromId);
      versions.moveVersions(fromId, toId);
    },
    photosOf: (entryId: number): PhotoRow[] => photosOf.all(entryId),
    photoNames: (): string[] => photos.all().map(({ fileName }) => fileName),
    insertPhoto: (entryId: number, fileName: string, caption: string): void => {
      insertPhoto.run(entryId, fileName, caption);
    },
    removePhoto: (entryId: number, fileName: string): void => {
      removePhoto.run(entryId, fileName);
    },
    ...versions,
    ...sendKeys(db),
  };
}
