import { describe, expect, it } from 'vitest';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import { planSummary } from '../../src/core/plan-summary.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

// Worked out by hand from the rows of the invented operation and plan.
describe('a plan in figures', () => {
  const summary = () => planSummary(fakeOperation(), fakePlan().content, fakeToday);

  it('counts tasks in time, late and left out, without those of a burn day', () => {
    // Line, spray, cure check, felling and the burn of N2 in time; the burn of N1 late; the second pass goes with it.
    expect(summary()).toMatchObject({
      onTimeCount: 5,
      lateCount: 1,
      leftOutCount: 1,
      leftOutBurnCount: 1,
    });
  });

  it('says what is overdue for fire on the last day of each season, and what burns in it', () => {
    // Most interval 3 years. P1 burned 20 Jan 2024: over from 21 Jan 2027. N3 burned 2 Mar 2026: over from 3 Mar 2029.
    // N1 and N2 burn by the plan, E1 burned 7 Nov 2026, S2 is held until 2030, S1 has no fire; E2 never burned.
    // Acres: E1 70 % of 19 so far, N1 22 and N2 31 planned.
    expect(summary().seasons).toEqual([
      { season: 2026, overdueCount: 1, neverBurnedCount: 1, burnAcres: expect.closeTo(66.3, 9) },
      { season: 2027, overdueCount: 1, neverBurnedCount: 1, burnAcres: 0 },
      { season: 2028, overdueCount: 2, neverBurnedCount: 1, burnAcres: 0 },
    ]);
  });

  it('gives crew days and money of contract crews by calendar year, from today on', () => {
    // 2026: cure check 1 day and 14 days of the saw crew at $1,450; line and spray lie before today. 2027: three of 1 day.
    expect(summary().years).toEqual([
      { year: 2026, crewDays: 15, moneyUsd: 20_300 },
      { year: 2027, crewDays: 3, moneyUsd: 0 },
    ]);
  });

  it('takes what the log answered out of the work to come', () => {
    const operation = fakeOperation();
    operation.entries.push(
      fakeEntry(9, 1, 'dormant-burn', '2026-11-08', {
        taskKey: 'block:1/cedar-woodland/burn/2/-',
        areaAcres: 20,
      }),
    );
    const done = planSummary(operation, fakePlan().content, fakeToday);
    expect(done).toMatchObject({ onTimeCount: 5, lateCount: 0 });
    // E1 13.3 and N1 20 burned, N2 31 planned; the burn of N1 is not counted twice.
    expect(done.seasons[0]?.burnAcres).toBeCloseTo(64.3, 9);
    expect(done.years[1]).toEqual({ year: 2027, crewDays: 2, moneyUsd: 0 });
  });

  it.each([
    ['the day before', '2027-07-01', [2026]],
    ['a day short', '2027-06-30', []],
  ])('a season counts when its last day is in the horizon: %s', (_, endsBefore, seasons) => {
    const { content } = fakePlan();
    content.horizon.endsBefore = isoDate(endsBefore);
    const { seasons: found } = planSummary(fakeOperation(), content, fakeToday);
    expect(found.map(({ season }) => season)).toEqual(seasons);
  });

  it('adds properties up by the year in which their seasons start', () => {
    const operation = fakeOperation();
    // The season of the second property starts on 1 January: 2026 ends on 31 December, before P1 is overdue.
    operation.properties[1] = {
      ...operation.properties[1]!,
      burningSeasonStart: monthDay('01-01'),
    };
    const { seasons } = planSummary(operation, fakePlan().content, fakeToday);
    expect(seasons.map(({ season, overdueCount }) => [season, overdueCount])).toEqual([
      [2026, 0],
      [2027, 1],
      [2028, 2],
    ]);
  });
});
