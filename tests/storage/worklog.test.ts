import { existsSync, readdirSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { type DetailFacts, noDetail } from '../../src/core/work-details.ts';
import { photoFolder, photosFolder } from '../../src/storage/photos.ts';
import { writeFault } from '../../src/storage/write-faults.ts';
import { fakeEntry } from '../support/operation.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';
import { clockAt, storeWithLand } from './fixtures.ts';

const { id: _, ...entry } = fakeEntry(0, 5, 'cedar-felling', '2026-11-08', { areaAcres: 10 });
const detail: DetailFacts = {
  moneyUsd: 120.5,
  gearHours: [{ gearKey: 'burn-trailer', hours: 3 }],
  startedAt: '08:00',
  endedAt: '15:30',
  readings: [
    {
      at: '09:00',
      tempF: 50,
      rhPercent: 40,
      windMph: 5,
      gustMph: 8,
      windFromDegrees: 180,
      note: '',
    },
  ],
  noWork: { rules: ['Firearms deer season'], approvedBy: '', reference: '', reason: 'no hunters' },
};
const taken = <T>(outcome: { ok: true; value: T } | { ok: false; problems: object[] }): T => {
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
};

describe('entries with details', () => {
  it('come back as they were written, and take no row where they say nothing', () => {
    const { store, library } = storeWithLand();
    const drafts = [
      { entry, detail },
      { entry: { ...entry, unitId: 2 }, detail: noDetail },
    ];
    const written = taken(store.worklog.write(drafts, null, library));
    expect(written.map((one) => one.unitId)).toEqual([5, 2]);
    expect(store.worklog.details()).toEqual([
      { entryId: written[0]?.id, ...detail, photos: [], captions: [] },
    ]);
  });

  it('are written all or none', () => {
    const { store, library, content } = storeWithLand();
    const drafts = [
      { entry, detail },
      { entry: { ...entry, unitId: 99 }, detail },
    ];
    const outcome = store.worklog.write(drafts, 'k1', library);
    expect(outcome).toMatchObject({ ok: false, problems: [{ code: 'entry-unitId' }] });
    expect(store.landContent()).toEqual(content);
    expect(store.worklog.wasSent('k1')).toBe(false);
  });

  it('are written once, however often the same form is sent', () => {
    const { store, library } = storeWithLand();
    const first = taken(store.worklog.write([{ entry, detail }], 'k1', library));
    const again = taken(store.worklog.write([{ entry, detail }], 'k1', library));
    expect(again).toEqual(first);
    const other = taken(store.worklog.write([{ entry, detail }], 'k2', library));
    expect(other[0]?.id).not.toBe(first[0]?.id);
    expect(store.worklog.list().filter((one) => one.unitId === 5)).toHaveLength(2);
  });

  it('go with their entry, and with all land', () => {
    const { store, library, content } = storeWithLand();
    const [one] = taken(store.worklog.write([{ entry, detail }], 'k1', library));
    store.worklog.addPhotos(one?.id ?? 0, [{ fileName: 'a', caption: 'b' }], library);
    store.worklog.remove(one?.id ?? 0, library);
    expect(store.worklog.details()).toEqual([]);
    taken(store.worklog.write([{ entry, detail }], 'k2', library));
    store.replaceLand(content);
    expect(store.worklog.details()).toEqual([]);
    expect(store.worklog.wasSent('k2')).toBe(false);
  });
});

describe('a correction', () => {
  it('keeps what was, with time and person, newest first', () => {
    const { store, library, clock } = storeWithLand();
    const id = taken(store.worklog.write([{ entry, detail }], null, library))[0]?.id ?? 0;
    const correct = (areaAcres: number, who: string | null) =>
      taken(
        store.worklog.correct(
          id,
          { entry: { areaAcres }, detail: { moneyUsd: areaAcres } },
          who,
          library,
        ),
      );
    clock.at = '2026-11-10T08:00:00Z';
    correct(12, 'Alex');
    clock.at = '2026-11-11T08:00:00Z';
    correct(14, null);
    expect(store.worklog.versions(id)).toEqual([
      {
        correctedAt: '2026-11-11T08:00:00Z',
        correctedBy: null,
        entry: { ...entry, id, areaAcres: 12 },
        detail: { ...detail, moneyUsd: 12 },
      },
      {
        correctedAt: '2026-11-10T08:00:00Z',
        correctedBy: 'Alex',
        entry: { ...entry, id },
        detail,
      },
    ]);
    expect(store.worklog.find(id)?.areaAcres).toBe(14);
  });

  it('that changes nothing is none, and one that is refused leaves all as it was', () => {
    const { store, library } = storeWithLand();
    const id = taken(store.worklog.write([{ entry, detail }], null, library))[0]?.id ?? 0;
    const revision = store.revision();
    expect(store.worklog.correct(id, { entry: {}, detail: {} }, null, library).ok).toBe(true);
    expect(
      store.worklog.correct(id, { entry: { areaAcres: -1 }, detail: {} }, null, library).ok,
    ).toBe(false);
    expect(
      store.worklog.correct(id, { entry: {}, detail: { startedAt: 'x' } }, null, library).ok,
    ).toBe(false);
    expect(store.worklog.versions(id)).toEqual([]);
    expect(store.revision()).toBe(revision);
    expect(store.worklog.correct(999, { entry: {}, detail: {} }, null, library)).toMatchObject({
      problems: [{ code: 'entry-unknown' }],
    });
  });
});

describe('two entries that become one', () => {
  it('sum their amounts, and keep readings, photos and versions of both', () => {
    const { store, library } = storeWithLand();
    // Units 6 and 7 are one block; both were mown on one day, as it were.
    const done = { ...entry, treatmentKey: 'line-build', doneOn: isoDate('2026-11-08') };
    const [one, two] = taken(
      store.worklog.write(
        [
          { entry: { ...done, unitId: 6 }, detail },
          { entry: { ...done, unitId: 7 }, detail: { ...detail, moneyUsd: 9.5, noWork: null } },
        ],
        null,
        library,
      ),
    );
    if (!one || !two) throw new Error('both are written');
    store.worklog.addPhotos(two.id, [{ fileName: 'two.jpg', caption: 'c' }], library);
    store.worklog.correct(two.id, { entry: { areaAcres: 11 }, detail: {} }, null, library);
    const before = store.landContent();
    const merged = before.entries
      .filter((row) => row.id !== two.id)
      .map((row) => (row.id === one.id ? { ...row, areaAcres: 21 } : row));
    store.changeLand('Joined.', () => ({
      ok: true,
      value: { land: { ...before, entries: merged }, notes: [] },
    }));
    expect(store.worklog.find(two.id)).toBeNull();
    expect(store.worklog.details()).toMatchObject([
      {
        entryId: one.id,
        moneyUsd: 130,
        gearHours: [{ gearKey: 'burn-trailer', hours: 6 }],
        noWork: { rules: ['Firearms deer season'], reason: 'no hunters' },
        photos: ['two.jpg'],
      },
    ]);
    expect(store.worklog.details()[0]?.readings).toHaveLength(2);
    expect(store.worklog.versions(one.id)).toHaveLength(1);
  });
});

describe('readings and photos of an entry', () => {
  it('readings stand in the order of their times; the same one twice is one', () => {
    const { store, library } = storeWithLand();
    const id = taken(store.worklog.write([{ entry, detail: noDetail }], null, library))[0]?.id ?? 0;
    const [reading] = detail.readings;
    if (!reading) throw new Error('there is one');
    const late = { ...reading, at: '14:00' };
    for (const one of [late, reading, late])
      expect(store.worklog.addReading(id, one, library)).toEqual([]);
    expect(store.worklog.details()[0]?.readings).toEqual([reading, late]);
    expect(store.worklog.addReading(id, { ...reading, rhPercent: 120 }, library)).toHaveLength(1);
    expect(store.worklog.addReading(999, reading, library)).toMatchObject([
      { code: 'entry-unknown' },
    ]);
  });

  it('photos are at most twelve, counted over all forms', () => {
    const { store, library } = storeWithLand();
    const id = taken(store.worklog.write([{ entry, detail: noDetail }], null, library))[0]?.id ?? 0;
    const photos = (from: number, count: number) =>
      Array.from({ length: count }, (_one, at) => ({ fileName: `p${from + at}`, caption: 'c' }));
    expect(store.worklog.addPhotos(id, photos(0, 10), library)).toEqual([]);
    expect(store.worklog.addPhotos(id, photos(10, 3), library)).toMatchObject([
      { code: 'photos-many', field: 'photos' },
    ]);
    expect(store.worklog.addPhotos(id, photos(10, 2), library)).toEqual([]);
    expect(store.worklog.removePhoto(id, 'p0', library)).toEqual([]);
    expect(store.worklog.details()[0]?.photos).toEqual(photos(1, 11).map((one) => one.fileName));
  });
});

describe('the photo folder', () => {
  it('is beside the database under its name', () => {
    expect(photosFolder('/srv/land/main.db')).toBe('/srv/land/main-photos');
  });

  it('writes whole files, reads only its own names, and sweeps what is over', () => {
    const clock = clockAt('2026-11-09T15:00:00Z');
    const folder = join(temporaryFolder(), 'land-photos');
    const photos = photoFolder(folder, clock.now);
    const bytes = Buffer.from('picture');
    const [kept, loose, old] = [
      photos.put(bytes, 'jpg'),
      photos.put(bytes, 'png'),
      photos.put(bytes, 'webp'),
    ];
    expect(Buffer.from(photos.read(kept) ?? []).equals(bytes)).toBe(true);
    expect(photos.read('../land.db')).toBeNull();
    expect(photos.read(`${'0'.repeat(32)}.jpg`)).toBeNull();
    writeFileSync(join(folder, `${'1'.repeat(32)}.jpg.part`), 'half');
    writeFileSync(join(folder, 'notes.txt'), 'of somebody else');
    photos.letGo([loose, kept]);
    const longAgo = new Date('2026-08-01T00:00:00Z');
    utimesSync(join(folder, old), longAgo, longAgo);
    expect(photos.sweep([kept])).toBe(2);
    expect(readdirSync(folder).sort()).toEqual([kept, loose, 'notes.txt'].sort());
    // Ninety days after it was let go.
    clock.at = '2027-02-09T15:00:00Z';
    expect(photos.sweep([kept])).toBe(1);
    expect(existsSync(join(folder, kept))).toBe(true);
  });

  it('leaves nothing behind when a write fails', () => {
    const folder = temporaryFolder();
    const photos = photoFolder(join(folder, 'file', 'photos'), () => new Date());
    writeFileSync(join(folder, 'file'), '');
    expect(() => photos.put(Buffer.from('x'), 'jpg')).toThrow();
  });
});

describe('what a failed write means', () => {
  const failed = (code: string) =>
    writeFault(Object.assign(new Error('x'), { code }))?.code ?? null;
  it.each([
    ['SQLITE_FULL', 'disk-full'],
    ['ENOSPC', 'disk-full'],
    ['EFBIG', 'disk-full'],
    ['SQLITE_READONLY', 'disk-read-only'],
    ['SQLITE_READONLY_DBMOVED', 'disk-read-only'],
    ['EROFS', 'disk-read-only'],
    ['SQLITE_IOERR_WRITE', 'disk-fault'],
    ['SQLITE_CONSTRAINT_CHECK', null],
    ['ENOENT', null],
  ])('%s', (code, wanted) => expect(failed(code)).toBe(wanted));

  it('is nothing for what is no error of the system', () => {
    expect(writeFault(new RangeError('a mistake'))).toBeNull();
    expect(writeFault('text')).toBeNull();
  });
});
