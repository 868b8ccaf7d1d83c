import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { Plan } from '../../src/core/plans.ts';
import { burnedAndPlanned } from '../../src/core/rotation-needs.ts';
import { countsAcres, seasonReport } from '../../src/core/season-report.ts';
import { plansDuring, slipsOf } from '../../src/core/season-slips.ts';
import type { WorkDetail } from '../../src/core/work-details.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { fakeOperation } from '../support/operation.ts';
import { fakePlan, fakeTask } from '../support/plan.ts';

const blank: Omit<WorkEntry, 'id' | 'unitId' | 'treatmentKey' | 'doneOn'> = {
  ...{ taskKey: null, startedOn: null, precision: 'day', outcome: 'done', reason: '' },
  ...{ areaAcres: null, crewDays: null, personHours: null, shareBlackPercent: null },
  ...{ fireCause: null, signedOutOn: null, note: '' },
};
const entry = (
  id: number,
  unitId: number,
  treatmentKey: string,
  doneOn: string,
  own: Partial<WorkEntry> = {},
): WorkEntry => ({ ...blank, id, unitId, treatmentKey, doneOn: isoDate(doneOn), ...own });

const keys = {
  line: 'block:1/cedar-woodland/line/2/-',
  burn: 'block:1/cedar-woodland/burn/2/-',
  burn2: 'block:2/cedar-woodland/burn/1/-',
  spray: 'unit:4/old-field-spray/spray/1/-',
  fell: 'unit:5/cedar-woodland/fell/1/-',
  check: 'unit:2/cedar-woodland/cure-check/1/-',
};

/** The burning season 2026-27 of the invented operation: units N1 22, N2 31, N3 14, S1 18, S2 44, E1 19, E2 40 acres. */
const log: WorkEntry[] = [
  entry(1, 1, 'dormant-burn', '2023-06-15'),
  entry(2, 2, 'cedar-felling', '2024-12-12'),
  entry(10, 1, 'line-build', '2026-11-03', { personHours: 40, crewDays: 2.5, taskKey: keys.line }),
  entry(11, 1, 'dormant-burn', '2027-02-02', {
    ...{ shareBlackPercent: 80, personHours: 49, crewDays: 2, taskKey: keys.burn },
    reason: 'the wind stood wrong until then',
  }),
  entry(12, 4, 'foliar-spray', '2026-11-20', {
    ...{ outcome: 'partly', areaAcres: 6, personHours: 20, taskKey: keys.spray, reason: 'rain' },
  }),
  entry(13, 5, 'cedar-felling', '2026-12-18', {
    ...{ outcome: 'not-possible', personHours: 8, taskKey: keys.fell, reason: 'ice on the road' },
  }),
  entry(14, 6, 'dormant-burn', '2027-02-02', { fireCause: 'wild', areaAcres: 10 }),
  entry(15, 3, 'cedar-felling', '2027-01-01', { precision: 'year', areaAcres: 3 }),
  entry(16, 8, 'line-build', '2026-11-03', { personHours: 500 }),
  entry(17, 1, 'line-build', '2027-07-01', { personHours: 500 }),
  entry(18, 1, 'line-build', '2026-06-30', { personHours: 500 }),
];

const detail = (entryId: number, moneyUsd: number, hours: number[] = []): WorkDetail => ({
  ...{ entryId, moneyUsd, startedAt: null, endedAt: null, readings: [], photos: [] },
  gearHours: hours.map((one) => ({ gearKey: 'burn-trailer', hours: one })),
});
const details = [detail(10, 120.5), detail(11, 60, [8]), detail(12, 300), detail(16, 9000, [90])];

const moved = fakeTask(keys.burn2, '2027-11-08', '2027-11-21', {
  ...{ treatmentKey: 'dormant-burn', family: 'burn', areaAcres: 31, crewDaysTenths: 20 },
  because: ['No fit day was left before leaf-out.'],
});
const plans: Plan[] = [
  fakePlan({ state: 'superseded' }),
  fakePlan({
    ...{ id: 2, adoptedAt: '2027-03-01T12:00:00Z' },
    content: {
      ...fakePlan().content,
      tasks: [moved],
      leftOut: [
        {
          ...{ ...fakeTask(keys.check, '2026-11-16', '2026-11-16', {}), dueOn: null },
          reason: 'No crew has the days.',
        },
      ],
    },
  }),
];

function reportOf(today = '2027-07-10') {
  const operation = { ...fakeOperation(), entries: log };
  const properties = operation.properties.slice(0, 1);
  return seasonReport(operation, properties, 2026, plans, details, isoDate(today));
}

describe('the report of a season', () => {
  it('holds the season', () =>
    expect(reportOf()).toMatchObject({
      ...{ from: '2026-07-01', until: '2027-06-30', isOver: true },
      months: [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6],
    }));

  // By hand from the table above.
  it.each([
    ['line-build', { Nov: 22 }, [22, 1, 40, 2.5, 120.5], [1, 22, 1]],
    // 80 % of 22 acres black, and 10 acres of a wildfire.
    ['dormant-burn', { Feb: 27.6 }, [27.6, 2, 49, 2, 60], [2, 53, 1]],
    ['foliar-spray', { Nov: 6 }, [6, 1, 20, 0, 300], [1, 18, 0]],
    ['cedar-felling', {}, [3, 2, 8, 0, 0], [1, 44, 0]],
    // A check treats no acres.
    ['cure-check', {}, [0, 0, 0, 0, 0], [1, 0, 0]],
  ])('%s', (key, byMonth, done, planned) => {
    const row = reportOf().treatments.find(({ treatmentKey }) => treatmentKey === key)!;
    const names = [
      'Jul',
      'Aug',
      'Sep',
      'Oct',
      'Nov',
      'Dec',
      'Jan',
      'Feb',
      'Mar',
      'Apr',
      'May',
      'Jun',
    ];
    const found = names.flatMap((name, at) => {
      const acres = row.acresByMonth[at] ?? 0;
      return acres === 0 ? [] : [[name, Math.round(acres * 10) / 10]];
    });
    expect(Object.fromEntries(found)).toEqual(byMonth);
    const sums = [row.doneAcres, row.entries, row.personHours, row.crewDays, row.moneyUsd];
    expect(sums.map((value) => Math.round(value * 10) / 10)).toEqual(done);
    expect([row.plannedTasks, row.plannedAcres, row.doneTasks]).toEqual(planned);
  });

  it('lays planned acres on the month that they were first planned in', () => {
    const burn = reportOf().treatments.find(({ treatmentKey }) => treatmentKey === 'dormant-burn');
    // N1 from 11 January, N2 from 8 February.
    expect(burn?.plannedByMonth).toEqual([0, 0, 0, 0, 0, 0, 22, 31, 0, 0, 0, 0]);
  });

  it('keeps acres of work known to the year only apart from the months', () => {
    const row = reportOf().treatments.find(({ treatmentKey }) => treatmentKey === 'cedar-felling');
    expect([row?.acresWithoutMonth, row?.doneAcres]).toEqual([3, 3]);
  });

  it('counts acres for burns and work by the acre only (rates of the reference table)', () => {
    const { treatments } = loadLibrary();
    const without = treatments.filter((one) => !countsAcres(one)).map(({ key }) => key);
    expect(without).toContain('line-build');
    expect(without).toContain('after-burn-photo');
    for (const key of ['dormant-burn', 'cedar-felling', 'basal-bark', 'mowing', 'native-seeding'])
      expect(without).not.toContain(key);
  });

  it('counts gear of its own entries alone', () =>
    expect(reportOf().gearHours.map(({ gearKey, hours }) => [gearKey, hours])).toEqual([
      ['burn-trailer', 8],
    ]));

  it('says what became of what was planned, and why', () => {
    const fates = reportOf().fates.map(({ key, fate, lateDays, reason }) => [
      key,
      fate,
      lateDays,
      reason,
    ]);
    expect(fates).toEqual([
      [keys.line, 'done', 0, ''],
      [keys.spray, 'partly', 0, 'rain'],
      [keys.check, 'left-out', 0, 'No crew has the days.'],
      [keys.fell, 'not-possible', 0, 'ice on the road'],
      // Planned until 24 January, done on 2 February: nine days.
      [keys.burn, 'late', 9, 'the wind stood wrong until then'],
      [keys.burn2, 'moved', 0, 'No fit day was left before leaf-out.'],
    ]);
    expect(slipsOf(reportOf().fates)).toHaveLength(5);
  });

  it('calls what lies ahead still to come, and what passed without an entry not done', () => {
    const operation = { ...fakeOperation(), entries: log.slice(0, 3) };
    const properties = operation.properties.slice(0, 1);
    const first = [fakePlan()];
    const report = seasonReport(operation, properties, 2026, first, [], isoDate('2026-12-19'));
    const fate = (key: string) => report.fates.find((one) => one.key === key)?.fate;
    expect(report).toMatchObject({ until: '2026-12-19', isOver: false, plans: 1 });
    expect([fate(keys.burn), fate(keys.check), fate(keys.fell)]).toEqual([
      'to-come',
      'not-done',
      'not-done',
    ]);
  });

  it.each([
    ['2026-11-01', '2026-12-01', 'to-come'],
    ['2026-11-01', '2027-05-01', 'not-done'],
    ['2026-11-20', '2026-12-01', 'partly'],
  ])('part done on %s is as of %s, the rest planned from 16 November: %s', (on, today, fate) => {
    const more = { outcome: 'partly', areaAcres: 6, taskKey: keys.spray } as const;
    const operation = { ...fakeOperation(), entries: [entry(12, 4, 'foliar-spray', on, more)] };
    const rest = { treatmentKey: 'foliar-spray', family: 'spray', areaAcres: 12 } as const;
    const tasks = [{ ...fakeTask(keys.spray, '2026-11-16', '2026-12-13', {}), ...rest }];
    const plan = fakePlan();
    const plans = [{ ...plan, content: { ...plan.content, tasks } }];
    const properties = operation.properties.slice(0, 1);
    const report = seasonReport(operation, properties, 2026, plans, [], isoDate(today));
    expect(report.fates.find(({ key }) => key === keys.spray)?.fate).toBe(fate);
  });

  it('sets acres burned beside what the intervals ask', () => {
    const { burned } = reportOf();
    expect([Math.round(burned.burnedAcres * 10) / 10, burned.plannedAcres]).toEqual([27.6, 53]);
    expect(burned.targetAcres).toBeGreaterThan(burned.leastAcres);
    const operation = { ...fakeOperation(), entries: log };
    const seasons = burnedAndPlanned(
      operation,
      operation.properties[0]!,
      isoDate('2027-06-30'),
      [],
      2,
    );
    expect(seasons.find(({ season }) => season === 2026)?.burnedAcres).toBeCloseTo(
      burned.burnedAcres,
      9,
    );
  });

  it('counts every unit at both ends of the season', () => {
    const { fire } = reportOf();
    const sum = (values: number[]) => values.reduce((total, value) => total + value, 0);
    expect(sum(fire.map((row) => row.startUnits))).toBe(7);
    expect(sum(fire.map((row) => row.endUnits))).toBe(7);
    expect(sum(fire.map((row) => row.startAcres))).toBe(22 + 31 + 14 + 18 + 44 + 19 + 40);
    expect(sum(fire.map((row) => row.endAcres))).toBe(188);
    // N1 burned in the season, and E1 by a wildfire, so both end inside their interval.
    const within = fire.find(({ kind }) => kind === 'within');
    expect(within?.endAcres).toBeGreaterThanOrEqual(22 + 19);
  });

  it('takes the season after from the plan in force', () =>
    expect(reportOf().next).toEqual([
      expect.objectContaining({ family: 'burn', tasks: 1, areaAcres: 31, crewDays: 2 }),
    ]));

  it('agrees with a plain sum over any log', () =>
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            unitId: fc.integer({ min: 1, max: 8 }),
            month: fc.integer({ min: 1, max: 12 }),
            year: fc.constantFrom(2026, 2027),
            areaAcres: fc.integer({ min: 1, max: 40 }),
            personHours: fc.integer({ min: 0, max: 90 }),
          }),
        ),
        (rows) => {
          const entries = rows.map(({ month, year, ...row }, index) =>
            entry(
              index + 1,
              row.unitId,
              'line-build',
              `${year}-${String(month).padStart(2, '0')}-10`,
              row,
            ),
          );
          const operation = { ...fakeOperation(), entries };
          const report = seasonReport(
            operation,
            operation.properties,
            2026,
            [],
            [],
            isoDate('2028-01-01'),
          );
          const inSeason = rows.filter(({ year, month }) => (year === 2026) === month >= 7);
          const [row] = report.treatments;
          expect(row?.doneAcres ?? 0).toBe(inSeason.reduce((sum, one) => sum + one.areaAcres, 0));
          expect(row?.personHours ?? 0).toBe(
            inSeason.reduce((sum, one) => sum + one.personHours, 0),
          );
          const march = inSeason.filter(({ month }) => month === 3);
          expect(row?.acresByMonth[8] ?? 0).toBe(
            march.reduce((sum, one) => sum + one.areaAcres, 0),
          );
        },
      ),
      { numRuns: 60 },
    ));
});

describe('plans in force during a season', () => {
  const at = (id: number, adoptedAt: string | null): Plan => fakePlan({ id, adoptedAt });
  const span = { startsOn: isoDate('2026-07-01'), endsBefore: isoDate('2027-07-01') };
  it.each([
    [[at(1, '2025-01-01T00:00:00Z')], [1]],
    [
      [at(2, '2026-08-01T00:00:00Z'), at(1, '2025-01-01T00:00:00Z')],
      [1, 2],
    ],
    [[at(1, '2025-01-01T00:00:00Z'), at(2, '2026-01-01T00:00:00Z')], [2]],
    [[at(1, '2025-01-01T00:00:00Z'), at(2, '2027-09-01T00:00:00Z')], [1]],
    [[at(1, null)], []],
  ])('case %#', (plansGiven, expected) =>
    expect(plansDuring(plansGiven, span).map(({ id }) => id)).toEqual(expected),
  );
});
