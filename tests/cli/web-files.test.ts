import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webFiles } from '../../src/cli/web-files.ts';
import { isoDate } from '../../src/core/dates.ts';
import { readHistory } from '../../src/core/history-import.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { noWorkInside } from '../../src/core/worklog.ts';

const today = isoDate('2026-11-25');

function sample() {
  const file = openOperationFile(':memory:', today);
  file.store.replaceLand(sampleLand(today));
  return { file, files: webFiles(file) };
}
const upload = (text: string) => ({ propertyId: 1, text, communityKey: null });

describe('land files of the sample', () => {
  test.each(['geojson', 'kml'] as const)('%s out and in again changes nothing', (kind) => {
    const { file, files } = sample();
    const before = file.store.landContent();
    const text = files.exportLand(1, kind);
    const { report, problems, breaks } = files.previewLand(upload(text));
    expect(problems).toEqual([]);
    expect(breaks).toEqual([]);
    expect(report.length).toBeGreaterThan(40);
    expect(report.filter(({ state }) => state !== 'unchanged')).toEqual([]);
    expect(files.takeLand(upload(text))).toEqual([]);
    expect(file.store.landContent()).toEqual(before);
    file.close();
  });

  test('a preview saves nothing; what it listed is then taken over', () => {
    const { file, files } = sample();
    const before = file.store.landContent();
    const [unit] = before.units;
    const land = JSON.parse(files.exportLand(1, 'geojson')) as {
      features: { properties: Record<string, unknown>; geometry: unknown }[];
    };
    const [row] = land.features;
    row!.properties['acres'] = 99;
    row!.properties['block'] = 'NEW-1';
    land.features.push({
      properties: { what: 'unit', code: 'Z9', community: 'glade', acres: 4, block: 'Z9' },
      geometry: null,
    });
    const text = JSON.stringify({ ...land, type: 'FeatureCollection' }).replaceAll(
      '{"properties":',
      '{"type":"Feature","properties":',
    );
    const preview = files.previewLand(upload(text));
    expect(preview.report.filter(({ state }) => state !== 'unchanged')).toMatchObject([
      { key: unit!.code, state: 'changed' },
      { key: 'Z9', state: 'new' },
    ]);
    expect(file.store.landContent()).toEqual(before);
    expect(files.takeLand(upload(text))).toEqual([]);
    const after = file.operation();
    const block = after.blocks.find(({ code }) => code === 'NEW-1');
    expect(after.units.find(({ id }) => id === unit!.id)).toMatchObject({
      areaAcres: 99,
      blockId: block?.id,
    });
    expect(after.units.find(({ code }) => code === 'Z9')).toMatchObject({
      areaAcres: 4,
      boundary: null,
    });
    expect(after.blocks.some(({ id }) => id === unit!.blockId)).toBe(false);
    expect(after.entries).toEqual(before.entries);
    file.close();
  });

  test('a boundary that moves gives new neighbors and keeps the pairs of units out of use', () => {
    const { file, files } = sample();
    const { neighbours, units } = file.store.landContent();
    const [a, b] = neighbours[0]!.unitIds;
    file.store.records.retire('unit', a, file.library);
    const other = file
      .operation()
      .units.find(({ id, propertyId }) => propertyId === 1 && id !== b)!;
    const far = [
      [-93, 36],
      [-92.995, 36],
      [-92.995, 36.004],
      [-93, 36.004],
      [-93, 36],
    ];
    const text = JSON.stringify({
      type: 'FeatureCollection',
      features: [
        {
          type: 'Feature',
          properties: { code: other.code },
          geometry: { type: 'Polygon', coordinates: [far] },
        },
      ],
    });
    expect(files.takeLand(upload(text))).toEqual([]);
    const pairs = file.store.landContent().neighbours;
    expect(pairs.some(({ unitIds }) => unitIds.includes(a) && unitIds.includes(b))).toBe(true);
    expect(file.operation().neighbours.some(({ unitIds }) => unitIds.includes(other.id))).toBe(
      false,
    );
    expect(units.find(({ id }) => id === other.id)?.boundary).not.toEqual(
      file.operation().units.find(({ id }) => id === other.id)?.boundary,
    );
    file.close();
  });

  test('the code of a retired unit is refused, and nothing is saved', () => {
    const { file, files } = sample();
    const [unit] = file.operation().units;
    file.store.records.retire('unit', unit!.id, file.library);
    const before = file.store.landContent();
    const text = JSON.stringify({
      type: 'FeatureCollection',
      features: [
        {
          type: 'Feature',
          properties: { what: 'unit', code: unit!.code, community: 'glade', acres: 3 },
          geometry: null,
        },
      ],
    });
    expect(files.previewLand(upload(text)).problems).toMatchObject([{ code: 'unit-code-taken' }]);
    expect(files.takeLand(upload(text))).toMatchObject([{ code: 'unit-code-taken' }]);
    expect(file.store.landContent()).toEqual(before);
    file.close();
  });
});

describe('old work of the sample', () => {
  const entriesOf = (text: string, file: ReturnType<typeof sample>['file']) => {
    const table = webFiles(file).historyTable(text);
    if (!table.ok) throw new Error(table.problems[0]?.message);
    return readHistory(table.value.rows, file.operation(), 1, today, {}).flatMap(
      ({ entry }) => entry ?? [],
    );
  };
  const text = 'unit,date,work,share_black\nN4,14 Mar 2009,rx,80\nN4,Feb 2006,rx,\n';

  test('is taken in at once, and the second time it is there already', () => {
    const { file, files } = sample();
    const before = file.operation().entries.length;
    expect(entriesOf(text, file)).toHaveLength(2);
    expect(files.takeHistory(entriesOf(text, file), '')).toEqual([]);
    expect(file.operation().entries).toHaveLength(before + 2);
    expect(entriesOf(text, file)).toEqual([]);
    file.close();
  });

  test('keeps with those inside no-work dates why they were done', () => {
    const { file, files } = sample();
    const rules = file.operation().noWork.filter(({ firmness }) => firmness === 'hard');
    const [entry] = entriesOf(text, file);
    const cut = { ...entry!, treatmentKey: 'cedar-felling', fireCause: null, signedOutOn: null };
    const every = Array.from({ length: 12 }, (_month, at) => ({
      ...cut,
      doneOn: isoDate(`2024-${String(at + 1).padStart(2, '0')}-15`),
    }));
    const inside = every.filter((one) => noWorkInside(file.operation(), one).length > 0);
    expect(rules.length).toBeGreaterThan(0);
    expect(inside.length).toBeGreaterThan(0);
    expect(inside.length).toBeLessThan(12);
    const before = file.store.worklog.details().length;
    expect(files.takeHistory(every, 'told by the owner')).toEqual([]);
    const noted = file.store.worklog.details().slice(before);
    expect(noted).toHaveLength(inside.length);
    for (const { noWork } of noted) expect(noWork?.reason).toBe('told by the owner');
    file.close();
  });

  test('all or nothing', () => {
    const { file, files } = sample();
    const [entry] = entriesOf(text, file);
    const before = file.store.landContent();
    expect(files.takeHistory([entry!, { ...entry!, unitId: 9999 }], '')).toMatchObject([
      { field: 'unitId' },
    ]);
    expect(file.store.landContent()).toEqual(before);
    file.close();
  });
});
