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
import { holidaysBetween } from '../recurrence.ts';

const yearsOfHolidays = 6;

/** First day of a weekday on or after a date. */
function onOrAfter(date: IsoDate, isoWeekday: number): IsoDate {
  return addDays(date, (isoWeekday - weekday(date) + 7) % 7);
}

/** The federal holidays of six years from that of `today`: no work for any crew. */
export function sampleHolidays(today: IsoDate): Holiday[] {
  return holidaysBetween(yearOf(today), yearOf(today) + yearsOfHolidays - 1);
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

/** The two next spans of the contract saw crew, of four or three weeks in fall and winter. */
function sawSpans(today: IsoDate): DateRange[] {
  const thisMonday = fromDay(mondayOfDay(toDay(today)));
  return [-1, 0, 1]
    .map((more) => yearOf(today) + more)
    .flatMap((year) => [
      weeksFrom(year, '01-08', 4),
      weeksFrom(year, '02-15', 3),
      weeksFrom(year, '11-06', 4),
    ])
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
      skills: ['saw', 'fire', 'herbicide', 'tractor', 'machine'],
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
      workdays: [1, 2, 3, 4, 5, 6],
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
      costPerDayUsd: 1400,
      spreadDaysPerWeek: 5,
    },
  ];
}

export const sampleGear: Gear[] = [
  { key: 'burn-trailer', name: 'Burn trailer', count: 1, daysOff: [] },
  { key: 'sprayer', name: 'Sprayer', count: 1, daysOff: [] },
  { key: 'tractor', name: 'Tractor with disk', count: 1, daysOff: [] },
];
