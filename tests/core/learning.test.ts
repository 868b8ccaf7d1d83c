import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { burnWaits, fitDayUses } from '../../src/core/fit-day-use.ts';
import {
  acceptedLighting,
  acceptedRate,
  figureOf,
  learnedLighting,
  learnedRates,
  learnedUse,
} from '../../src/core/learning.ts';
import type { Operation } from '../../src/core/operation.ts';
import { ownRateOn, treatmentOn } from '../../src/core/own-rates.ts';
import { workNeed } from '../../src/core/rates.ts';
import { landJobs } from '../../src/core/schedule/land-jobs.ts';
import { landModes } from '../../src/core/schedule/land-options.ts';
import type { WorkDetail } from '../../src/core/work-details.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { fakeOwnRate } from '../support/own-rates.ts';
import { fakePlan } from '../support/plan.ts';

const today = isoDate('2026-11-09');

const land = (...entries: WorkEntry[]): Operation => ({ ...fakeOperation(), entries });
const ridge = fakeOperation().properties[0]!;

const felled = (id: number, areaAcres: number | null, crewDays: number | null, own = {}) =>
  fakeEntry(id, 1, 'cedar-felling', '2026-01-10', {
    outcome: 'partly',
    areaAcres,
    crewDays,
    ...own,
  });

const rateOf = (operation: Operation) =>
  learnedRates(operation, ridge).find(({ treatment }) => treatment.key === 'cedar-felling')!;

describe('a figure of several entries', () => {
  // By hand: 2 + 4 + 9 acres in 1 + 2 + 3 days are 2.5 a day; single ones 2, 2, 3.
  it('is the sum over the sum, with the spread of single entries', () =>
    expect(
      figureOf([
        { amount: 2, took: 1 },
        { amount: 4, took: 2 },
        { amount: 9, took: 3 },
      ]),
    ).toEqual({ count: 3, overall: 2.5, median: 2, lowest: 2, highest: 3, interval: null }));

  // Student's t for 4 degrees of freedom is 2.776 (NIST/SEMATECH e-Handbook, 1.3.6.7.2); the deviation of 1..5 is 1.5811.
  it('has the 95 % interval of the mean from five entries on', () => {
    const figure = figureOf([1, 2, 3, 4, 5].map((amount) => ({ amount, took: 1 })))!;
    expect(figure.interval!.low).toBeCloseTo(3 - (2.776 * 1.5811) / Math.sqrt(5), 3);
    expect(figure.interval!.high).toBeCloseTo(3 + (2.776 * 1.5811) / Math.sqrt(5), 3);
    expect(figure.median).toBe(3);
  });

  it('lies inside its spread', () => {
    const positive = fc.double({ min: 0.01, max: 1000, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(fc.record({ amount: positive, took: positive }), { minLength: 1 }),
        (pairs) => {
          const { lowest, median, highest, overall } = figureOf(pairs)!;
          expect(lowest).toBeLessThanOrEqual(median);
          expect(median).toBeLessThanOrEqual(highest);
          expect(overall).toBeGreaterThanOrEqual(lowest * (1 - 1e-9));
          expect(overall).toBeLessThanOrEqual(highest * (1 + 1e-9));
        },
      ),
    );
  });
});

describe('rates from the log', () => {
  it('are offered from the third entry on', () => {
    const two = land(felled(1, 4, 2), felled(2, 6, 2));
    expect(rateOf(two).offered).toBeNull();
    expect(rateOf(two).acresACrewDay?.overall).toBe(2.5);
    expect(rateOf(land(...two.entries, felled(3, 5, 2))).offered).toBe(2.5);
  });

  it.each<[string, Partial<WorkEntry>]>([
    ['no acres', { areaAcres: 0 }],
    ['no days and no hours', { crewDays: 0 }],
    ['acres that nobody noted of a part', { areaAcres: null }],
    ['no number', { areaAcres: Number.NaN }],
    ['days below zero', { crewDays: -3 }],
  ])('leave out and count an entry of %s', (_name, own) => {
    const sound = [felled(1, 4, 2), felled(2, 6, 2), felled(3, 5, 2)];
    const { acresACrewDay, leftOutCount } = rateOf(land(...sound, felled(4, 400, 0.5, own)));
    expect([acresACrewDay?.count, acresACrewDay?.overall, leftOutCount]).toEqual([3, 2.5, 1]);
  });

  it('take a whole unit that is done without acres as the unit, unless parts were logged', () => {
    const whole = fakeEntry(1, 1, 'cedar-felling', '2026-01-10', { crewDays: 11 });
    expect(rateOf(land(whole)).acresACrewDay?.overall).toBe(2);
    expect(rateOf(land(whole, felled(2, 4, 2))).acresACrewDay?.count).toBe(1);
  });

  it('go by the density of the unit; not noted is moderate', () => {
    const operation = land(felled(1, 4, 2), { ...felled(2, 9, 3), unitId: 2 });
    operation.units = operation.units.map((unit) =>
      unit.id === 1 ? { ...unit, densityClass: null } : { ...unit, densityClass: 'thicket' },
    );
    expect(
      learnedRates(operation, ridge).map(({ densityClass, acresACrewDay }) => [
        densityClass,
        acresACrewDay?.overall,
      ]),
    ).toEqual([
      ['moderate', 2],
      ['thicket', 3],
    ]);
  });

  it('give hours an acre and the people of a crew day', () => {
    const hours = { personHours: 64 };
    const found = rateOf(
      land(felled(1, 4, 2, hours), felled(2, 4, 2, hours), felled(3, 4, 2, hours)),
    );
    expect(found.hoursAnAcre?.overall).toBe(16);
    // 64 hours are 8 person-days of 8 hours, in 2 crew days.
    expect(found.peopleACrewDay).toBe(4);
  });

  it('are offered in what the rate of the treatment is measured by', () => {
    const operation = land(felled(1, 4, 2), felled(2, 6, 2), felled(3, 5, 2));
    operation.treatments = operation.treatments.map((one) =>
      one.key === 'cedar-felling' ? { ...one, rate: { ...one.rate, per: 'person-day' } } : one,
    );
    // 2.5 acres a crew day of the home crew of four.
    expect(rateOf(operation).offered).toBe(2.5 / 4);
    const accepted = acceptedRate(ridge, rateOf(operation), today)!;
    const rate = treatmentOn(
      { ownRates: [accepted] },
      rateOf(operation).treatment,
      operation.units[0]!,
    );
    expect(workNeed(rate, { areaAcres: 10, lineFeet: 0, densityClass: null, crewPeople: 4 })).toBe(
      40,
    );
  });
});

describe('an accepted rate', () => {
  const operation = land();
  const treatment = operation.treatments.find(({ key }) => key === 'cedar-felling')!;
  const place = { propertyId: 1, densityClass: null };

  it.each<[string, Parameters<typeof fakeOwnRate>[0], boolean]>([
    ['the same place and density', {}, true],
    ['another property', { propertyId: 2 }, false],
    ['another density', { densityClass: 'dense' }, false],
    ['another treatment', { treatmentKey: 'cure-check' }, false],
    ['another measure', { per: 'person-day' }, false],
  ])('counts for %s', (_name, own, isUsed) => {
    expect(ownRateOn({ ownRates: [fakeOwnRate(own)] }, treatment, place) !== null).toBe(isUsed);
  });

  it('gives way to a later one', () => {
    const ownRates = [fakeOwnRate(), fakeOwnRate({ id: 2, amount: 3 })];
    expect(treatmentOn({ ownRates }, treatment, place).rate.amount).toBe(3);
  });

  it('is what the planner takes crew days by', () => {
    const horizon = { startsOn: today, endsBefore: isoDate('2029-07-01') };
    const tenths = (ownRates: Operation['ownRates']) => {
      const own = { ...fakeOperation(), ownRates };
      const { jobs } = landJobs(own, horizon);
      return jobs
        .filter((job) => job.treatments[0]?.key === 'cedar-felling' && job.property.id === 1)
        .map((job) => [job.areaAcres, landModes(own, job)[0]!.tenths]);
    };
    const before = tenths([]);
    const after = tenths([fakeOwnRate({ amount: 2 })]);
    expect(before.length).toBeGreaterThan(0);
    // The library's 4 acres a crew day become 2: twice the crew days, in half days.
    expect(after).toEqual(before.map(([acres]) => [acres, Math.ceil((acres! / 2) * 2) * 5]));
  });
});

describe('lighting', () => {
  const burn = (id: number, day: string, own: Partial<WorkEntry>, unitId = 1) =>
    fakeEntry(id, unitId, 'dormant-burn', day, own);
  const times = (
    entryId: number,
    startedAt: string | null,
    endedAt: string | null,
  ): WorkDetail => ({
    ...{ entryId, moneyUsd: null, gearHours: [], readings: [], photos: [] },
    ...{ startedAt, endedAt },
  });

  it('is learned from the clock, else from person-hours', () => {
    const operation = land(
      burn(1, '2024-03-01', { areaAcres: 30 }),
      // 33 person-hours by six people are 5.5 h; less 1.5 h of set-up and 1 h of securing 3 h.
      burn(2, '2025-03-01', { areaAcres: 30, personHours: 33 }),
      burn(3, '2026-03-01', { areaAcres: 24 }),
    );
    const found = learnedLighting(operation, ridge, [times(1, '11:30', '14:30')]);
    expect(found.acresAnHour).toMatchObject({ count: 2, overall: 10 });
    expect([found.byClock, found.byPersonHours, found.leftOutCount]).toEqual([1, 1, 1]);
    expect(acceptedLighting(ridge, found, today)).toBeNull();
    const third = learnedLighting(operation, ridge, [
      times(1, '11:30', '14:30'),
      times(3, '12:00', '14:00'),
    ]);
    expect(acceptedLighting(ridge, third, today)).toMatchObject({
      per: 'lighting-hour',
      amount: 84 / 8,
    });
  });

  it('takes units of one block on one day as one fire', () => {
    const operation = land(
      burn(1, '2024-03-01', { areaAcres: 20 }),
      burn(2, '2024-03-01', { areaAcres: 16 }, 2),
    );
    operation.units = operation.units.map((unit) =>
      unit.id === 2 ? { ...unit, blockId: 1 } : unit,
    );
    const found = learnedLighting(operation, ridge, [
      times(1, '11:00', '13:00'),
      times(2, '12:00', '15:00'),
    ]);
    expect(found.acresAnHour).toMatchObject({ count: 1, overall: 9 });
  });

  it.each([
    ['14:00', '11:00'],
    ['11:00', null],
    ['late', 'later'],
  ])('leaves out times from %s to %s', (start, end) => {
    const found = learnedLighting(land(burn(1, '2024-03-01', { areaAcres: 20 })), ridge, [
      times(1, start, end),
    ]);
    expect([found.acresAnHour, found.leftOutCount]).toEqual([null, 1]);
  });
});

describe('the share of fit days used', () => {
  it('is lit days over fit days, with the reasons of the others', () => {
    const day = (text: string, isLit: boolean, reason = '') => ({
      day: isoDate(text),
      isLit,
      reason,
    });
    expect(
      learnedUse([
        day('2026-02-01', true),
        day('2026-02-02', false, 'people'),
        day('2026-02-02', false),
        day('2026-02-03', false, 'people'),
        day('2026-02-04', false, 'ban'),
        day('2026-02-05', false),
      ]),
    ).toEqual({
      ...{ fitDays: 5, litDays: 1, share: 0.2, isOffered: true },
      reasons: [
        { reason: 'people', count: 2 },
        { reason: 'ban', count: 1 },
      ],
    });
    expect(learnedUse([])).toMatchObject({ share: null, isOffered: false });
  });

  it('counts the fit workdays of a burn’s span while its plan was in force, up to the day it was done', () => {
    const plan = fakePlan();
    const task = plan.content.tasks.find(({ family }) => family === 'burn')!;
    const span = {
      ...task,
      propertyId: 1,
      startsOn: isoDate('2026-02-02'),
      lastDay: isoDate('2026-02-15'),
    };
    const adopted = [
      { ...plan, adoptedAt: '2026-01-20T10:00:00Z', content: { ...plan.content, tasks: [span] } },
      { ...plan, adoptedAt: '2026-02-12T10:00:00Z', content: { ...plan.content, tasks: [] } },
    ];
    const operation = {
      ...land(),
      entries: [fakeEntry(1, 1, 'dormant-burn', '2026-02-10', { taskKey: task.key })],
    };
    const waits = burnWaits(operation, ridge, adopted, today);
    expect(waits.map(({ from, before }) => [from, before])).toEqual([['2026-02-02', '2026-02-11']]);
    expect(burnWaits({ ...operation, entries: [] }, ridge, adopted, today)[0]!.before).toBe(
      '2026-02-12',
    );
    const uses = fitDayUses(
      operation,
      ridge,
      waits,
      [{ blockId: 1, day: isoDate('2026-02-05'), reason: 'smoke' }],
      () => true,
    );
    // Monday 2 to Tuesday 10 February, without the weekend.
    expect(
      uses.map(({ day, isLit, reason }) => `${day.slice(8)} ${isLit} ${reason}`.trim()),
    ).toEqual([
      '02 false',
      '03 false',
      '04 false',
      '05 false smoke',
      '06 false',
      '09 false',
      '10 true',
    ]);
    const unknown = fitDayUses(operation, ridge, waits, [], () => null);
    expect(unknown).toEqual([{ day: '2026-02-10', isLit: true, reason: '' }]);
  });
});
