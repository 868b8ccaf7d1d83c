import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import {
  isHourBarred,
  isPermitNeeded,
  noticeTiming,
  rulesOfState,
  type StateRule,
} from '../../src/core/state-rules.ts';
import { loadLibrary } from '../../src/reference/library.ts';

const { stateRules } = loadLibrary();
const ruleOf = (key: string): StateRule => stateRules.find((rule) => rule.key === key)!;

// Dates and distances as published at each source's own date; the rules are data and are looked up again before a burn.
describe('permits by state', () => {
  // Tennessee Code 39-14-306, read in a copy (secondary, not dated).
  test.each([
    ['2026-11-01', 400, true],
    ['2026-11-01', 500, true],
    ['2026-11-01', 600, false],
    ['2026-06-01', 400, false],
    ['2026-10-15', 400, true],
    ['2026-10-14', 400, false],
    ['2026-05-15', 400, true],
    ['2026-05-16', 400, false],
    ['2026-11-01', null, true],
  ])('Tennessee, %s, %s feet from woods: %s', (day, feetToWoods, needed) => {
    const facts = { feetToWoods, areaAcres: 10 };
    expect(isPermitNeeded(ruleOf('tn-permit'), isoDate(day), facts)).toBe(needed);
  });

  // Alabama: more than a quarter acre, or within 25 feet of woods (state page, seen, not dated).
  test.each([
    [0.2, 100, false],
    [0.3, 100, true],
    [0.2, 20, true],
    [null, 100, true],
  ])('Alabama, %s acres at %s feet: %s', (areaAcres, feetToWoods, needed) => {
    const facts = { feetToWoods, areaAcres };
    expect(isPermitNeeded(ruleOf('al-permit'), isoDate('2026-03-01'), facts)).toBe(needed);
  });

  // Kentucky KRS 149.400, read in a news article of 19 February 2022 (secondary).
  test.each([
    ['2026-03-10', 12, 100, false, true],
    ['2026-03-10', 19, 100, false, false],
    ['2026-03-10', 12, 100, true, false],
    ['2026-03-10', 12, 200, false, false],
    ['2026-03-10', 6, 150, false, true],
    ['2026-03-10', 18, 150, false, false],
    ['2026-05-01', 12, 100, false, false],
    ['2026-12-15', 12, 100, false, true],
    ['2026-03-10', 12, null, false, true],
  ])(
    'Kentucky, %s at %s h, %s feet, snow %s: barred %s',
    (day, hour, feetToWoods, isSnow, barred) => {
      expect(isHourBarred(ruleOf('ky-hours'), isoDate(day), hour, { feetToWoods, isSnow })).toBe(
        barred,
      );
    },
  );

  test.each([
    // Oklahoma 2 OS 16-28.2, read in a copy (secondary): within 60 days before the burn.
    ['ok-neighbor-notice', '2026-03-10', 61 * 24, 'too-early'],
    ['ok-neighbor-notice', '2026-03-10', 60 * 24, 'in-time'],
    // Noble Research Institute 2002 (secondary): within 48 hours before.
    ['ok-fire-department-notice', '2026-03-10', 49, 'too-early'],
    ['ok-fire-department-notice', '2026-03-10', 48, 'in-time'],
    // Oklahoma Forestry Services, seen: at least 4 hours before.
    ['ok-forestry-approval', '2026-03-10', 3, 'too-late'],
    ['ok-forestry-approval', '2026-03-10', 4, 'in-time'],
    // Missouri Prescribed Fire Council, law and liability, seen: 48 hours ahead, 15 April to 15 September.
    ['mo-ozone-notice', '2026-06-01', 47, 'too-late'],
    ['mo-ozone-notice', '2026-06-01', 48, 'in-time'],
    ['mo-ozone-notice', '2026-04-14', 0, 'not-asked'],
    ['mo-ozone-notice', '2026-04-15', 0, 'too-late'],
    ['mo-permit', '2026-06-01', 0, 'not-asked'],
  ])('%s on %s, %s hours ahead: %s', (key, day, hours, timing) => {
    expect(noticeTiming(ruleOf(key), isoDate(day), hours)).toBe(timing);
  });

  test('a rule of another kind says nothing', () => {
    const facts = { feetToWoods: 1, areaAcres: 100 };
    expect(isPermitNeeded(ruleOf('ky-hours'), isoDate('2026-03-10'), facts)).toBe(false);
    expect(
      isHourBarred(ruleOf('tn-permit'), isoDate('2026-11-01'), 12, {
        feetToWoods: 1,
        isSnow: false,
      }),
    ).toBe(false);
  });

  test('every row says where it was read, as of when, and who to ask', () => {
    for (const rule of stateRules) {
      expect(rule.asOf, rule.key).not.toBe('');
      expect(rule.source, rule.key).not.toBe('');
      expect(rule.checkWith, rule.key).not.toBe('');
    }
    expect(rulesOfState(stateRules, 'MO').map((rule) => rule.key)).toEqual([
      'mo-permit',
      'mo-ozone-notice',
    ]);
    expect(rulesOfState(stateRules, 'WI')).toEqual([]);
  });
});
