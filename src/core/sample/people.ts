import type { Crew, Gear } from '../crews.ts';
import {
  addDays,
  type DateRange,
  firstDayIn,
  fromDay,
  type IsoDate,
  isoDate,
  mondayOfDay,
  monthDay,
  toDay,
  weekday,
  yearOf,
} from '../dates.ts';
import type { Holiday } from '../properties.ts';

const yearsOfHolidays = 6;

/** First day of a weekday on or after a date. */
function onOrAfter(date: IsoDate, isoWeekday: number): IsoDate {
  return addDays(date, (isoWeekday - weekday(date) + 7) % 7);
}

/** Days off for everyone: common holidays of the United States (5 U.S.C. 6103, from memory) and the day after Thanksgiving. */
export function sampleHolidays(today: IsoDate): Holiday[] {
  const first = yearOf(today);
  return Array.from({ length: yearsOfHolidays }, (_, i) => first + i).flatMap((year): Holiday[] => {
    const thanksgiving = onOrAfter(isoDate(`${year}-11-22`), 4);
    return [
      { date: isoDate(`${year}-01-01`), name: "New Year's Day" },
      { date: onOrAfter(isoDate(`${year}-05-25`), 1), name: 'Memorial Day' },
      { date: isoDate(`${year}-07-04`), name: 'Independence Day' },
      { date: onOrAfter(isoDate(`${year}-09-01`), 1), name: 'Labor Day' },
      { date: thanksgiving, name: 'Thanksgiving' },
      { date: addDays(thanksgiving, 1), name: 'Day after Thanksgiving' },
      { date: isoDate(`${year}-12-25`), name: 'Christmas Day' },
    ];
  });
}

/** Whole weeks from the Monday on or after a month-day. */
function weeksFrom(year: number, at: string, weekCount: number): DateRange {
  const startsOn = onOrAfter(firstDayIn(year, monthDay(at)), 1);
  return { startsOn, endsBefore: addDays(startsOn, weekCount * 7) };
}

/** Weeks off of the home crew: leave in July, training and saw service in late August, the turn of the year. */
function homeDaysOff(today: IsoDate): DateRange[] {
  const first = yearOf(today);
  return Array.from({ length: yearsOfHolidays }, (_, i) => first + i).flatMap((year) => [
    weeksFrom(year, '07-05', 1),
    weeksFrom(year, '08-20', 1),
    { startsOn: isoDate(`${year}-12-26`), endsBefore: isoDate(`${year + 1}-01-02`) },
  ]);
}

/** The two next spans of the contract saw crew: six weeks each, one in the fall and one in the winter. */
function sawSpans(today: IsoDate): DateRange[] {
  const thisMonday = fromDay(mondayOfDay(toDay(today)));
  return [-1, 0, 1]
    .map((more) => yearOf(today) + more)
    .flatMap((year) => [weeksFrom(year, '01-08', 6), weeksFrom(year, '11-06', 6)])
    .filter((span) => span.startsOn >= thisMonday)
    .slice(0, 2);
}

export function sampleCrews(today: IsoDate): Crew[] {
  return [
    {
      id: 1,
      name: 'Home crew',
      kind: 'home',
      peopleCount: 4,
      skills: ['saw', 'fire', 'herbicide', 'tractor'],
      workdays: [1, 2, 3, 4, 5],
      daysOff: homeDaysOff(today),
      onSpans: null,
      costPerDayUsd: 1100,
      spreadDaysPerWeek: 4,
    },
    {
      id: 2,
      name: 'Burn help (Odell, Imani, Reuben)',
      kind: 'help',
      peopleCount: 3,
      skills: ['fire'],
      workdays: [2, 3, 4, 5, 6],
      daysOff: [],
      onSpans: null,
      costPerDayUsd: 0,
      spreadDaysPerWeek: 1,
    },
    {
      id: 3,
      name: 'Contract saw crew',
      kind: 'contract',
      peopleCount: 5,
      skills: ['saw'],
      workdays: [1, 2, 3, 4, 5],
      daysOff: [],
      onSpans: sawSpans(today),
      costPerDayUsd: 1750,
      spreadDaysPerWeek: 5,
    },
  ];
}

export const sampleGear: Gear[] = [
  { key: 'burn-trailer', name: 'Burn trailer', count: 1, daysOff: [] },
  { key: 'sprayer', name: 'Sprayer', count: 1, daysOff: [] },
  { key: 'tractor', name: 'Tractor with disk', count: 1, daysOff: [] },
];
