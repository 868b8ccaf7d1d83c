import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { expectedCedarKill } from '../../src/core/cedar-kill.ts';
import { isoDate } from '../../src/core/dates.ts';
import {
  acresHeard,
  answerSeries,
  basalAreaAcre,
  canopyCoverPercent,
  coveyRadiusYards,
  foragePoundsAcre,
  poundsAcrePerGram,
  stemSquareFeet,
  stemsAcre,
} from '../../src/core/land-answers.ts';
import { plotMean, studentT } from '../../src/core/plot-mean.ts';
import { checkPhotoPoint, checkVisit, type Finding, type Visit } from '../../src/core/visits.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';

/**
 * Interagency Technical Reference 1734-4, Sampling Vegetation Attributes (1996), table 6: ten plots of the size
 * given, their grams together times the factor = pounds an acre.
 */
const table6: [plotSquareFeet: number, factor: number][] = [
  [0.96, 10],
  [1.92, 5],
  [2.4, 4],
  [4.8, 2],
  [9.6, 1],
  [96, 0.1],
];

describe('forage in pounds an acre', () => {
  it.each(table6)('ten plots of %f square feet: grams x %f', (plotSquareFeet, factor) => {
    const gramsByPlot = [12, 30, 8, 22, 41, 17, 9, 25, 33, 3];
    const all = {
      kind: 'forage',
      of: 'all',
      plotSquareFeet,
      dryPercent: 100,
      gramsByPlot,
    } as const;
    // The table is rounded to a tenth of a percent.
    expect((foragePoundsAcre(all)?.mean ?? 0) / (200 * factor)).toBeCloseTo(1, 2);
  });

  it('a gram a square meter is 8.92 pounds an acre (trade tables of units; 4,046.86 m2, 453.59 g)', () => {
    const squareFeetInSquareMeter = 10.7639;
    expect(poundsAcrePerGram(squareFeetInSquareMeter)).toBeCloseTo(4046.86 / 453.59, 2);
    expect(poundsAcrePerGram(squareFeetInSquareMeter)).toBeCloseTo(8.92, 2);
  });

  it('2.9 to 466.3 g/m2 are the 26 to 4,160 pounds an acre of the yardstick', () => {
    expect(2.9 * poundsAcrePerGram(10.7639)).toBeCloseTo(26, 0);
    expect(466.3 * poundsAcrePerGram(10.7639)).toBeCloseTo(4160, -1);
  });

  it('weight before drying counts by its dry share', () => {
    const wet = { kind: 'forage', of: 'browse', plotSquareFeet: 9.6, dryPercent: 40 } as const;
    expect(foragePoundsAcre({ ...wet, gramsByPlot: [100] })?.mean).toBeCloseTo(400, 0);
  });
});

describe('the interval of a mean', () => {
  // NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, column 0.975.
  it.each([
    [1, 12.706],
    [2, 4.303],
    [5, 2.571],
    [9, 2.262],
    [10, 2.228],
    [20, 2.086],
    [30, 2.042],
    [40, 2.021],
    [60, 2.0],
    [100, 1.984],
  ])("Student's t of %d degrees of freedom is %f", (degrees, expected) =>
    expect(studentT(degrees)).toBeCloseTo(expected, 3),
  );

  it('by hand: 4, 6, 8, 10 have mean 7, standard error 1.291, t 3.182', () => {
    const answer = plotMean([4, 6, 8, 10]);
    expect(answer?.mean).toBe(7);
    expect(answer?.low).toBeCloseTo(7 - 3.182 * 1.29099, 4);
    expect(answer?.high).toBeCloseTo(7 + 3.182 * 1.29099, 4);
  });

  it('is not there for one plot, and nothing is for none', () => {
    expect(plotMean([5])).toEqual({ mean: 5, low: null, high: null, plots: 1 });
    expect(plotMean([])).toBeNull();
  });

  it('holds the mean and stays inside the limits', () =>
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 100, noNaN: true }), { minLength: 2 }),
        (values) => {
          const { mean, low, high } = plotMean(values, 0, 100)!;
          expect(low!).toBeLessThanOrEqual(mean + 1e-9);
          expect(high!).toBeGreaterThanOrEqual(mean - 1e-9);
          expect(low!).toBeGreaterThanOrEqual(0);
          expect(high!).toBeLessThanOrEqual(100);
        },
      ),
    ));
});

describe('trees', () => {
  // Square feet by inches: Southern Regional Extension Forestry handbook, table of basal area and plots per acre.
  it.each([
    [4, 0.087],
    [10, 0.545],
    [16, 1.396],
    [20, 2.182],
  ])('a stem of %d inches has %f square feet', (inches, feet) =>
    expect(stemSquareFeet(inches)).toBeCloseTo(feet, 3),
  );

  it('100 stems of 10 inches on an acre make 54.54 square feet (0.005454 d2, the form in handbooks)', () => {
    const counts = Array.from({ length: 100 }, () => 10);
    const stems = {
      kind: 'basal-area',
      method: 'stems',
      factor: null,
      plotAcres: 1,
      counts,
    } as const;
    expect(basalAreaAcre(stems)?.mean).toBeCloseTo(0.005454 * 100 * 100, 1);
  });

  it('a prism of factor 10 over counts of 6, 9 and 12 makes 90', () => {
    const prism = { kind: 'basal-area', method: 'prism', factor: 10, plotAcres: null } as const;
    expect(basalAreaAcre({ ...prism, counts: [6, 9, 12] })?.mean).toBeCloseTo(90, 9);
  });

  it('a dot of open sky is 1.04 % (text in the lid of the instrument)', () => {
    const cover = { kind: 'canopy-cover', method: 'densiometer' } as const;
    expect(canopyCoverPercent({ ...cover, readings: [0] })?.mean).toBe(100);
    expect(canopyCoverPercent({ ...cover, readings: [25] })?.mean).toBeCloseTo(74, 9);
    expect(canopyCoverPercent({ ...cover, readings: [96] })?.mean).toBeCloseTo(0.16, 9);
    expect(canopyCoverPercent({ ...cover, method: 'by-eye', readings: [40, 60] })?.mean).toBe(50);
  });

  it('3 stems on a hundredth of an acre are 300 an acre', () => {
    const count = { kind: 'stem-count', of: 'cedar', plotSquareFeet: 435.6 } as const;
    expect(stemsAcre({ ...count, stemsByPlot: [3] })?.mean).toBeCloseTo(300, 9);
  });
});

it('547 yards around a station are 194 acres (state guide to fall covey counts)', () =>
  expect(Math.round(acresHeard(coveyRadiusYards))).toBe(194));

// CV18: Oklahoma State University NREM-5053; University of Nebraska EC186.
describe('cedar that a fire through grass is expected to kill', () => {
  it.each([
    [0.5, null, 'killed'],
    [0.5, 500, 'killed'],
    [3, 4500, 'killed'],
    [3, 2000, 'about-60-percent'],
    [3, 3500, 'uncertain'],
    [3, null, 'uncertain'],
    [5.5, 6000, 'uncertain'],
    [7, 9000, 'cut-it'],
    [12, null, 'cut-it'],
  ])('%f feet over %j lb an acre: %s', (feet, fuel, expected) =>
    expect(expectedCedarKill(feet, fuel)).toBe(expected),
  );
});

const visit = (id: number, seenOn: string, finding: Finding): Visit => ({
  ...{ id, unitId: 1, seenOn: isoDate(seenOn), seenBy: '', finding, note: '' },
});

const canopy = (readings: number[]): Finding => ({
  kind: 'canopy-cover',
  method: 'by-eye',
  readings,
});

const looked: Finding = {
  ...{ kind: 'evaluation', stage: 'first', shareBlackPercent: 80, flameFeet: null },
  scorchClass: '34-66',
  topkillPercent: { under1Inch: 90, to3Inches: null, over3Inches: null },
  cedarKillPercent: { under1Foot: 100, to6Feet: 55, over6Feet: null },
};

it('lays the figures of visits out by measure and in time', () => {
  const series = answerSeries([
    visit(2, '2025-08-01', canopy([30, 40])),
    visit(1, '2023-08-01', canopy([80])),
    visit(3, '2025-03-02', looked),
    visit(4, '2025-10-20', { kind: 'covey-count', stations: 2, coveys: 5 }),
    visit(5, '2025-06-01', { kind: 'photos', photoPointId: 1, photos: [] }),
  ]);
  expect(series.map(({ key, answers }) => [key, answers.map(({ mean }) => mean)])).toEqual([
    ['canopy-cover', [80, 35]],
    ['share-black', [80]],
    ['topkill-under-1', [90]],
    ['cedar-under-1', [100]],
    ['cedar-1-to-6', [55]],
    ['coveys', [2.5]],
  ]);
});

describe('share black of fires in the log', () => {
  const fire = (id: number, doneOn: string, black: number | null, more = {}): WorkEntry => ({
    ...{ id, unitId: 1, treatmentKey: 'dormant-burn', taskKey: null, startedOn: null },
    ...{ doneOn: isoDate(doneOn), precision: 'day', outcome: 'done', reason: '' },
    ...{ areaAcres: null, crewDays: null, personHours: null, shareBlackPercent: black },
    ...{ fireCause: 'planned', signedOutOn: null, note: '' },
    ...more,
  });
  const look = visit(3, '2025-03-02', looked);
  it.each<[string, WorkEntry[], [number, number | undefined][]]>([
    [
      'a fire without a look',
      [fire(7, '2022-02-10', 65)],
      [
        [65, 7],
        [80, undefined],
      ],
    ],
    ['a fire that was looked at', [fire(7, '2025-03-01', 65)], [[80, undefined]]],
    [
      'the look is of the later fire',
      [fire(8, '2025-03-01', 70), fire(7, '2024-02-10', 65)],
      [
        [65, 7],
        [80, undefined],
      ],
    ],
    [
      'a fire after the look',
      [fire(7, '2025-10-01', 65)],
      [
        [80, undefined],
        [65, 7],
      ],
    ],
    ['nothing noted', [fire(7, '2022-02-10', null)], [[80, undefined]]],
    ['no day known', [fire(7, '2022-02-01', 65, { precision: 'month' })], [[80, undefined]]],
    ['no fire', [fire(7, '2022-02-10', 65, { fireCause: null })], [[80, undefined]]],
  ])('%s', (_, fires, expected) => {
    const black = answerSeries([look], fires).find(({ key }) => key === 'share-black');
    expect(black?.answers.map(({ mean, entryId }) => [mean, entryId])).toEqual(expected);
  });
});

describe('a visit as entered', () => {
  const blank: Finding = {
    ...{ kind: 'evaluation', stage: 'first', shareBlackPercent: null, flameFeet: null },
    scorchClass: null,
    topkillPercent: { under1Inch: null, to3Inches: null, over3Inches: null },
    cedarKillPercent: { under1Foot: null, to6Feet: null, over6Feet: null },
  };
  const forage: Finding = {
    ...{ kind: 'forage', of: 'browse', plotSquareFeet: 9.6, dryPercent: 50, gramsByPlot: [3] },
  };
  it.each<[Finding, string[]]>([
    [looked, []],
    [forage, []],
    [blank, ['shareBlackPercent']],
    [{ ...blank, shareBlackPercent: 130, flameFeet: -1 }, ['shareBlackPercent', 'flameFeet']],
    [{ ...forage, plotSquareFeet: 0, dryPercent: 0 }, ['plotSquareFeet', 'dryPercent']],
    [{ ...forage, gramsByPlot: [] }, ['numbers']],
    [{ ...forage, gramsByPlot: [Number.NaN] }, ['numbers']],
    [{ kind: 'stem-count', of: 'cedar', plotSquareFeet: 1, stemsByPlot: [1.5] }, ['numbers']],
    [{ kind: 'canopy-cover', method: 'densiometer', readings: [97] }, ['numbers']],
    [
      { kind: 'basal-area', method: 'stems', factor: null, plotAcres: null, counts: [10] },
      ['plotAcres'],
    ],
    [{ kind: 'bird-count', species: ' ', stations: 0, birds: 1 }, ['species', 'stations']],
    [{ kind: 'covey-count', stations: 1, coveys: -1 }, ['coveys']],
  ])('%j', (finding, fields) =>
    expect(checkVisit(visit(1, '2025-06-01', finding)).map(({ field }) => field)).toEqual(fields),
  );

  it('needs a real day; a photo point needs a name and a bearing', () => {
    expect(checkVisit(visit(1, '2025-06-01', looked))).toEqual([]);
    expect(
      checkVisit({ ...visit(1, '2025-06-01', looked), seenOn: '2025-02-30' as never }),
    ).toHaveLength(1);
    const point = { unitId: 1, name: '1', marker: 'steel post', bearingDegrees: 359, frame: '' };
    expect(checkPhotoPoint(point)).toEqual([]);
    expect(checkPhotoPoint({ ...point, name: '', bearingDegrees: 360 })).toHaveLength(2);
  });
});
