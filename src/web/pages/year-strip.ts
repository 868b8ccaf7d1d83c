import {
  type DateRange,
  fromDay,
  type IsoDate,
  monthOf,
  rangeHolds,
  toDay,
} from '../../core/dates.ts';
import { dayRangeWords, type OpenYear, openYearSentence } from '../../core/season/open-words.ts';
import * as words from '../words.ts';

/** Width of the picture in units of its own. */
const stripWidth = 360;

interface Bar {
  x: number;
  width: number;
  title: string;
}

/** Twelve months of one treatment on one unit, drawn; `sentence` says the same. */
export interface YearStrip {
  width: number;
  months: { x: number; letter: string }[];
  windows: Bar[];
  barred: Bar[];
  askFirst: Bar[];
  todayX: number | null;
  sentence: string;
}

/** The strip of a year; `range` is the twelve months that it shows. */
export function yearStrip(year: OpenYear, range: DateRange, today: IsoDate): YearStrip {
  const start = toDay(range.startsOn);
  const dayCount = toDay(range.endsBefore) - start;
  const at = (day: number) => Math.round(((day - start) / dayCount) * stripWidth * 10) / 10;
  const bar = (one: DateRange, title: string): Bar => {
    const x = at(toDay(one.startsOn));
    return { x, width: Math.round((at(toDay(one.endsBefore)) - x) * 10) / 10, title };
  };
  const firsts = Array.from({ length: dayCount }, (_, i) => start + i).filter((day) =>
    fromDay(day).endsWith('-01'),
  );
  return {
    width: stripWidth,
    months: firsts.map((day) => ({
      x: at(day),
      letter: words.monthNames[monthOf(fromDay(day)) - 1]?.slice(0, 1) ?? '',
    })),
    windows: year.windows.map((one) => bar(one, `season ${dayRangeWords(one)}`)),
    barred: year.barred.map(({ range: one, span }) =>
      bar(one, `barred ${dayRangeWords(one)}: ${span.name}`),
    ),
    askFirst: year.askFirst.map(({ range: one, span }) =>
      bar(one, `ask first ${dayRangeWords(one)}: ${span.name}`),
    ),
    todayX: rangeHolds(range, today) ? at(toDay(today)) : null,
    sentence: openYearSentence(year),
  };
}
