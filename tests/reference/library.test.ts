import { describe, expect, test } from 'vitest';
import {
  libraryFrom,
  loadLibrary,
  type RawTables,
  readTables,
} from '../../src/reference/library.ts';
import type { TableFile } from '../../src/reference/schemas.ts';

const library = loadLibrary();

describe('the shipped tables', () => {
  test('load once and are frozen to the bottom', () => {
    expect(loadLibrary()).toBe(library);
    const rate = library.treatments[0]?.rate as { amount: unknown };
    expect(() => {
      rate.amount = 3;
    }).toThrow(TypeError);
    expect(Object.isFrozen(library.sequences[0]?.steps[0]?.lags)).toBe(true);
  });

  test('published figures are never our own, and our own say so', () => {
    const rows = [
      ...library.treatments.flatMap((row) => [row, row.windowSource, row.rate]),
      ...library.communities,
      ...library.sequences,
      ...library.noWork,
      ...library.cautions,
      ...Object.values(library.sheetTables).flat(),
      ...library.prescriptions,
      ...library.fitDayDefaults,
      ...Object.values(library.weatherTables).flat(),
    ];
    for (const { status, source } of rows)
      expect(source.startsWith('Our own'), source).toBe(status === 'default-to-edit');
  });

  // What the facts sheet lists as not seen must not ship as published.
  test.each(['nest-ks', 'nest-wi', 'bats-mo', 'bats-ar', 'bats-tn'])(
    '%s is a default to edit',
    (key) => {
      expect(library.noWork.find((row) => row.key === key)?.status).toBe('default-to-edit');
    },
  );

  test('no hand-felling, girdling, injection or backpack rate is called published', () => {
    for (const key of ['cedar-felling', 'hardwood-thinning', 'hack-and-squirt', 'sericea-spray'])
      expect(library.treatments.find((row) => row.key === key)?.rate.status).toBe(
        'default-to-edit',
      );
  });

  // Yurkonis 2019, Fire Ecology 15: 2 to 43 C, RH 25 to 80 %, wind 6.44 to 24.12 km/h, six hours from 08 to 18 h.
  // Conversion: 1 mile = 1.609344 km exactly; F = C * 9 / 5 + 32.
  test('the published wide rule is converted exactly and only a check', () => {
    const rule = library.prescriptions.find((row) => row.key === 'published-wide');
    expect(rule).toMatchObject({
      use: 'check',
      temperatureF: { least: (2 * 9) / 5 + 32, most: (43 * 9) / 5 + 32 },
      rhPercent: { least: 25, most: 80 },
      fromHour: 8,
      toHour: 17,
      hoursInRow: 6,
      missingRain: 'dry',
      rainEndsRun: true,
    });
    expect(rule?.windMph.least).toBeCloseTo(6.44 / 1.609344, 12);
    expect(rule?.windMph.most).toBeCloseTo(24.12 / 1.609344, 12);
  });

  // Missouri agency advice (news copy): no burn under 30 % humidity.
  test('no work prescription goes under 30 % humidity, and unknown rain is never fit', () => {
    const work = library.prescriptions.filter((row) => row.use === 'work');
    expect(work.length).toBeGreaterThanOrEqual(3);
    for (const row of work) {
      expect(row.rhPercent.least).toBeGreaterThanOrEqual(30);
      expect(row.missingRain).toBe('unknown');
    }
  });

  test('work that can hurt someone carries cautions, and each caution defers to somebody', () => {
    for (const row of library.treatments) {
      if (['burn', 'spray', 'cut'].includes(row.family) || row.skills.includes('fire'))
        expect(row.cautionKeys.length, row.key).toBeGreaterThan(0);
      if (row.skills.includes('saw')) expect(row.cautionKeys, row.key).toContain('no-lone-saw');
      if (row.skills.includes('saw')) expect(row.peopleLeast, row.key).toBeGreaterThanOrEqual(2);
      if (row.skills.includes('herbicide')) expect(row.cautionKeys).toContain('herbicide-label');
      if (row.family === 'burn') expect(row.peopleLeast, row.key).toBeGreaterThanOrEqual(6);
    }
  });

  test('each shipped sequence burns in the dormant or the late growing season only', () => {
    const burns = library.sequences
      .flatMap((row) => row.steps.flatMap((step) => step.treatmentKeys))
      .filter((key) => library.treatments.find((row) => row.key === key)?.family === 'burn');
    expect(new Set(burns)).toEqual(new Set(['dormant-burn', 'late-season-burn']));
  });

  test('every burn of a sequence has a line that is made only with it, and a patrol on its heels', () => {
    for (const sequence of library.sequences)
      for (const step of sequence.steps) {
        if (!step.treatmentKeys.includes('dormant-burn')) continue;
        const lines = step.lags.filter(
          (lag) => lag.link === 'both' && /^line/.test(lag.afterStepKey),
        );
        expect(lines, `${sequence.key} ${step.key}`).toMatchObject([
          { least: { days: 1 }, most: { days: 200 }, mostIsHard: true },
        ]);
        const patrol = sequence.steps.filter(
          (one) => one.tiedTo === step.key && one.treatmentKeys.includes('patrol'),
        );
        expect(patrol, `${sequence.key} ${step.key}`).toMatchObject([{ tiedDays: 1 }]);
      }
  });

  // SEMANTICS: cure default of at least one growing season and 300 days, target two, use-by before the third leaf-out.
  test('felled cedar cures before its burn', () => {
    for (const key of ['cedar-woodland', 'glade']) {
      const burn = library.sequences
        .find((row) => row.key === key)
        ?.steps.find((step) => step.key === 'burn');
      expect(burn?.lags.find((lag) => lag.afterStepKey === 'fell')).toMatchObject({
        least: { growingSeasons: 1, days: 300 },
        target: { growingSeasons: 2 },
        most: { growingSeasons: 3 },
        mostIsHard: false,
      });
    }
  });
});

type Row = Record<string, unknown>;

function broken(file: TableFile, key: string, change: (row: Row) => void): string[] {
  const tables: RawTables = structuredClone(readTables());
  const rows = tables[file] as Row[];
  const row = rows.find((one) => one['key'] === key);
  if (!row) throw new Error(`no row ${key}`);
  change(row);
  const outcome = libraryFrom(tables);
  return outcome.ok ? [] : outcome.problems.map((one) => one.message);
}

const steps = (row: Row) => row['steps'] as Row[];
const stepOf = (row: Row, key: string) => steps(row).find((step) => step['key'] === key) as Row;
const lagAfter = (key: string): Row => ({
  afterStepKey: key,
  cycle: 'same',
  kind: 'fixed',
  least: { days: 1 },
  target: null,
  most: null,
  mostIsHard: false,
  link: 'needs',
});

describe('a bad row is refused by file, row and field', () => {
  test.each<[string, TableFile, string, (row: Row) => void, RegExp]>([
    [
      'unknown field',
      'treatments.json',
      'dormant-burn',
      (row) => {
        row['colour'] = 'red';
      },
      /^shared\/treatments\.json: row dormant-burn: colour is not a field/,
    ],
    [
      'unknown field deep inside',
      'sequences.json',
      'glade',
      (row) => {
        stepOf(row, 'fell')['when'] = 'fall';
      },
      /sequences\.json: row glade: steps\/0\/when is not a field/,
    ],
    [
      'missing source',
      'communities.json',
      'glade',
      (row) => {
        delete row['source'];
      },
      /communities\.json: row glade: .*source/,
    ],
    [
      'empty source',
      'cautions.json',
      'heat',
      (row) => {
        row['source'] = '';
      },
      /row heat: source/,
    ],
    [
      'a prescription that only tests the counting',
      'communities.json',
      'glade',
      (row) => {
        row['prescriptionKey'] = 'published-wide';
      },
      /row glade: prescriptionKey names no prescription of use work/,
    ],
    [
      'a month without a fine fuel correction',
      'fine-fuel-corrections.json',
      'b-exposed-north-gentle',
      (row) => {
        row['months'] = [5, 6];
      },
      /fine-fuel-corrections\.json: .*0 rows for month 7, exposed, N, gentle slope/,
    ],
    [
      'a site without drying days',
      'drying-days.json',
      'litter-shady',
      (row) => {
        row['exposure'] = 'level';
      },
      /drying-days\.json: .*must have one row for litter, shady/,
    ],
    [
      'a short row of the fine fuel table',
      'fine-fuel-moisture.json',
      'reference-50-69f',
      (row) => {
        row['percentByRh'] = [1, 2];
      },
      /row reference-50-69f: percentByRh/,
    ],
    [
      'unknown status',
      'cautions.json',
      'heat',
      (row) => {
        row['status'] = 'sure';
      },
      /row heat: status/,
    ],
    [
      'our own called published',
      'cautions.json',
      'heat',
      (row) => {
        row['status'] = 'published';
      },
      /row heat: status must be default-to-edit/,
    ],
    [
      'a default that does not say whose',
      'treatments.json',
      'cedar-felling',
      (row) => {
        (row['rate'] as Row)['source'] = 'a book';
      },
      /row cedar-felling: rate\/source/,
    ],
    [
      'wrong month-day',
      'no-work.json',
      'nest-mo',
      (row) => {
        row['opens'] = { at: '02-30' };
      },
      /no-work\.json: row nest-mo: opens/,
    ],
    [
      'unknown anchor',
      'no-work.json',
      'nest-mo',
      (row) => {
        row['opens'] = { anchor: 'snow', plusDays: 0 };
      },
      /row nest-mo: opens/,
    ],
    [
      'hard by own rule',
      'no-work.json',
      'bats-mo',
      (row) => {
        row['firmness'] = 'hard';
      },
      /row bats-mo: firmness is hard only/,
    ],
    [
      'no-work for a treatment that is not there',
      'no-work.json',
      'mow-il',
      (row) => {
        (row['applies'] as Row)['treatmentKeys'] = ['raking'];
      },
      /row mow-il: applies\/treatmentKeys names raking/,
    ],
    [
      'unknown caution',
      'treatments.json',
      'mowing',
      (row) => {
        row['cautionKeys'] = ['bees'];
      },
      /row mowing: cautionKeys names bees/,
    ],
    [
      'rate of zero',
      'treatments.json',
      'mowing',
      (row) => {
        (row['rate'] as Row)['amount'] = 0;
      },
      /row mowing: rate\/amount/,
    ],
    [
      'unknown treatment in a step',
      'sequences.json',
      'glade',
      (row) => {
        stepOf(row, 'fell')['treatmentKeys'] = ['magic'];
      },
      /row glade: steps fell names magic/,
    ],
    [
      'lag to no step',
      'sequences.json',
      'glade',
      (row) => {
        stepOf(row, 'photo')['lags'] = [lagAfter('flight')];
      },
      /row glade: step photo: lags\/afterStepKey names the step flight/,
    ],
    [
      'tied to no step',
      'sequences.json',
      'glade',
      (row) => {
        stepOf(row, 'patrol')['tiedTo'] = 'flight';
      },
      /row glade: step patrol: tiedTo/,
    ],
    [
      'repeat of no step',
      'sequences.json',
      'glade',
      (row) => {
        (row['repeat'] as Row)['stepKey'] = 'flight';
      },
      /row glade: repeat\/stepKey/,
    ],
    [
      'two lags on a step that is no burn',
      'sequences.json',
      'glade',
      (row) => {
        stepOf(row, 'photo')['lags'] = [lagAfter('burn'), lagAfter('fell')];
      },
      /row glade: step photo: only a burn/,
    ],
    [
      'a step that hangs on nothing',
      'sequences.json',
      'glade',
      (row) => {
        stepOf(row, 'photo')['lags'] = [];
      },
      /row glade: steps: the links of cycle 1 must form one tree/,
    ],
    [
      'a ring of steps',
      'sequences.json',
      'glade',
      (row) => {
        stepOf(row, 'cure-check')['lags'] = [lagAfter('fell')];
      },
      /row glade: steps: the links of cycle 1 must form one tree/,
    ],
    [
      'spread work between two steps',
      'sequences.json',
      'burn-burn-thin-burn',
      (row) => {
        stepOf(row, 'fuel-check')['lags'] = [lagAfter('thin')];
        (stepOf(row, 'burn')['lags'] as Row[]).splice(1, 1);
      },
      /step thin: spread work must hang on one other step/,
    ],
    [
      'work on the whole block beside chained work on single units',
      'sequences.json',
      'quail-field-thirds',
      (row) => {
        stepOf(row, 'coveys')['treatmentKeys'] = ['fuel-check'];
      },
      /step disk: work on single units must not lie between/,
    ],
    [
      'rotation lag on work that is no burn',
      'sequences.json',
      'quail-field-thirds',
      (row) => {
        ((stepOf(row, 'disk')['lags'] as Row[])[0] as Row)['kind'] = 'rotation';
      },
      /step disk: lags\/kind rotation/,
    ],
    [
      'interval that falls',
      'communities.json',
      'glade',
      (row) => {
        row['interval'] = { leastYears: 5, targetYears: 3, mostYears: 7 };
      },
      /row glade: interval must rise/,
    ],
  ])('%s', (_name, file, key, change, expected) => {
    const messages = broken(file, key, change);
    expect(messages.join('\n')).toMatch(expected);
  });

  test('a work prescription needs its twelve figures', () => {
    const tables = structuredClone(readTables());
    (tables['fit-day-defaults.json'] as Row[])[0]!['monthly'] = [1, 2, 3];
    const short = libraryFrom(tables);
    expect(short.ok ? '' : short.problems[0]?.message).toMatch(
      /fit-day-defaults\.json: row hardwood-litter: monthly/,
    );
    (tables['fit-day-defaults.json'] as Row[]).shift();
    const missing = libraryFrom(tables);
    expect(missing.ok ? '' : missing.problems[0]?.message).toMatch(
      /prescriptions\.json: row hardwood-litter: key has no row/,
    );
  });

  test('two rows of one key, and a file that is no list', () => {
    const tables = structuredClone(readTables());
    const rows = tables['cautions.json'] as Row[];
    rows.push(structuredClone(rows[0] as Row));
    const twice = libraryFrom(tables);
    expect(twice.ok ? '' : twice.problems[0]?.message).toMatch(
      /cautions\.json: row no-lone-saw: key is there twice/,
    );
    const none = libraryFrom({ ...tables, 'cautions.json': {} });
    expect(none.ok ? '' : none.problems[0]?.message).toMatch(/cautions\.json: .*list of rows/);
  });
});

describe('tables of sheets', () => {
  const { instructions, planElements, burnLists } = library.sheetTables;

  test('every treatment says what to do, and nothing else does', () => {
    expect(instructions.map(({ key }) => key)).toEqual(library.treatments.map(({ key }) => key));
    expect(instructions).toHaveLength(41);
  });

  test('redcedar is cut below the lowest green limb so that nothing green is left', () => {
    const felling = instructions.find(({ key }) => key === 'cedar-felling');
    expect(felling?.steps[0]).toMatch(/below the lowest green limb so that nothing green is left/);
  });

  // Interagency prescribed fire planning guide of 2006 (PMS 484 family, read in a copy): 21 elements.
  test('a burn plan has 21 elements', () => {
    expect(planElements).toHaveLength(21);
    expect([planElements[0]?.key, planElements[13]?.key, planElements[20]?.key]).toEqual([
      'signatures',
      'test-fire',
      'after-the-burn',
    ]);
  });

  test('there is a briefing and a patrol list, and a patrol ends signed out', () => {
    expect(burnLists.filter(({ list }) => list === 'briefing').length).toBeGreaterThan(8);
    expect(burnLists.filter(({ list }) => list === 'patrol').at(-1)?.key).toBe('patrol-sign-out');
  });
});
