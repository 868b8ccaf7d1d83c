import { fromDay, isoDate, monthOf, toDay, yearOf } from '../../core/dates.ts';
import { type DroughtHistory, droughtByMonth } from '../../core/weather/drought-history.ts';
import * as words from '../words.ts';

/** Sizes of the picture, in pixels of its own. */
const left = 34;
const monthWidth = 26;
const top = 8;
const plotHeight = 160;
const indexMost = 800;

/** The drought index of a year over the span of past years, drawn and in figures. */
export interface DroughtPicture {
  year: number;
  width: number;
  height: number;
  left: number;
  right: number;
  /** Lines across with their index. */
  scale: { y: number; index: number }[];
  months: {
    name: string;
    letter: string;
    middle: number;
    /** P10 to P90 and median of past years; null = too few of them. */
    band: { x: number; width: number; y: number; height: number; medianY: number } | null;
    past: string;
    median: string;
    own: string;
  }[];
  /** Corners of the line of the year, one list for each stretch without a gap. */
  lines: string[];
  pastWords: string;
}

const yOf = (index: number) => Math.round((top + plotHeight * (1 - index / indexMost)) * 10) / 10;

function linesOf(days: DroughtHistory['days'], year: number): string[] {
  const monthStart = (month: number) =>
    toDay(isoDate(`${year}-${String(month).padStart(2, '0')}-01`));
  const stretches: string[][] = [];
  let before = Number.NaN;
  for (const { day, index } of days) {
    const date = fromDay(day);
    if (yearOf(date) !== year) continue;
    if (day !== before + 1) stretches.push([]);
    before = day;
    const month = monthOf(date);
    const share = (day - monthStart(month)) / 31;
    const x = left + monthWidth * (month - 1 + share);
    stretches.at(-1)?.push(`${x.toFixed(1)},${yOf(index)}`);
  }
  return stretches.map((corners) => corners.join(' '));
}

/** The picture of a year's index. */
export function droughtPicture(history: DroughtHistory, year: number): DroughtPicture {
  const months = droughtByMonth(history, year);
  const counts = months.flatMap(({ past }) => (past ? [past.years] : []));
  const figure = (value: number | undefined) =>
    value === undefined ? 'not known' : words.number(value, 0);
  return {
    year,
    width: left + 12 * monthWidth + 8,
    height: top + plotHeight + 22,
    left,
    right: left + 12 * monthWidth,
    scale: [0, 200, 400, 600, 800].map((index) => ({ y: yOf(index), index })),
    months: months.map(({ past, own }, at) => {
      const name = words.monthNames[at] ?? '';
      const x = left + at * monthWidth;
      return {
        name,
        letter: name.slice(0, 1),
        middle: x + monthWidth / 2,
        band: past && {
          x: x + 1,
          width: monthWidth - 2,
          y: yOf(past.p90),
          height: Math.max(1, yOf(past.p10) - yOf(past.p90)),
          medianY: yOf(past.median),
        },
        past: past ? `${figure(past.p10)} to ${figure(past.p90)}` : 'not known',
        median: figure(past?.median),
        own: figure(own ?? undefined),
      };
    }),
    lines: linesOf(history.days, year),
    pastWords:
      counts.length === 0
        ? 'Fewer than five past years can be told, so there is no span to compare with.'
        : `Bar: P10 to P90 of the month's mean in ${words.count(Math.max(...counts), 'past year')}; tick in it: their median; line: ${year} day by day.`,
  };
}
