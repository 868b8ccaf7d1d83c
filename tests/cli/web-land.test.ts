import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webLand } from '../../src/cli/web-land.ts';
import { isoDate } from '../../src/core/dates.ts';

const header = 'code,name,acres,community,aspect,slope_percent,density,tags';
const place = { state: 'MO', county: 'Marl', timeZone: 'America/Chicago' };
const property = { landownerName: 'Own land', name: 'Stillwater', latitude: 37, longitude: -92 };

/** Own land as it is started from the pages, with a unit of each natural community named. */
function ownLand(...communities: string[]) {
  const file = openOperationFile(':memory:', isoDate('2026-11-25'));
  const land = webLand(file, () => {});
  land.startOwn({ ...place, ...property });
  const rows = communities.map((key, at) => `U${at + 1},Unit ${at + 1},10,${key},,,,`);
  expect(land.importUnits(1, 'own.csv', [header, ...rows].join('\n'))).toMatchObject({
    imported: communities.length,
    problems: [],
  });
  const block = (at = 0) => file.operation().blocks[at]!;
  return { file, land, block };
}

describe('the block of a unit that was imported', () => {
  // The fuel that carries the fire: our own judgement, a default to edit.
  test.each([
    ['oak-savanna', 'hardwood-litter'],
    ['glade', 'hardwood-litter'],
    ['upland-oak-forest', 'hardwood-litter'],
    ['tallgrass-prairie', 'grass'],
    ['old-field', 'grass'],
    ['native-grass-planting', 'grass'],
    ['herbaceous-wetland', 'grass'],
    ['mesic-forest', null],
  ])('%s starts with the prescription %s', (community, prescriptionKey) => {
    const { file, block } = ownLand(community);
    expect(block()).toMatchObject({ code: 'U1', prescriptionKey });
    file.close();
  });

  test('keeps the prescription that was chosen when the file comes in again', () => {
    const { file, land, block } = ownLand('glade');
    expect(land.updateBlock(1, { prescriptionKey: 'late-season' })).toEqual([]);
    land.importUnits(1, 'own.csv', `${header}\nU1,Knob,12,old-field,,,,`);
    expect(block().prescriptionKey).toBe('late-season');
    file.close();
  });
});

describe('what a burn of a block needs', () => {
  test('is stored, and seen at once', () => {
    const { file, land, block } = ownLand('glade');
    const rotation = {
      phase: 'maintenance' as const,
      leastSeasons: 2,
      targetYears: 3,
      mostYears: 4.5,
    };
    const readiness = { ...block().readiness, planSignedBy: 'A. Reed', permitNotNeeded: true };
    const change = { prescriptionKey: null, burnPeopleLeast: 8, rotation, readiness };
    expect(land.updateBlock(1, change)).toEqual([]);
    expect(block()).toMatchObject(change);
    file.close();
  });

  test.each([
    [{ prescriptionKey: 'none-such' }, 'prescriptionKey'],
    [
      {
        rotation: {
          phase: 'maintenance' as const,
          leastSeasons: 4,
          targetYears: 3,
          mostYears: 5,
        },
      },
      'rotation',
    ],
  ])('%j is refused and nothing is written', (change, field) => {
    const { file, land, block } = ownLand('glade');
    const before = block();
    expect(land.updateBlock(1, change).map((problem) => problem.field)).toEqual([field]);
    expect(block()).toEqual(before);
    file.close();
  });
});
