import {
  addDays,
  daysBetween,
  firstDayIn,
  type IsoDate,
  monthDay,
  yearOf,
} from '../../core/dates.ts';
import type { AnswerSeries } from '../../core/land-answers.ts';
import type { Yardstick } from '../../core/yardsticks.ts';
import * as words from '../words.ts';

/** Sizes of the picture, in pixels of its own. */
const left = 46;
const plotWidth = 260;
const top = 10;
const plotHeight = 120;
const bandWidth = 12;
const bandStep = 24;
const markSize = 16;

/** A cut, burn or spray under the figures. */
export interface TreatmentMark {
  doneOn: IsoDate;
  letter: string;
  name: string;
}

/** A measure of a unit over the years, over its treatments. */
export interface AnswerPicture {
  width: number;
  height: number;
  left: number;
  right: number;
  floor: number;
  laneY: number;
  scale: { y: number; words: string }[];
  years: { x: number; words: string }[];
  points: { x: number; y: number; lowY: number | null; highY: number | null; title: string }[];
  line: string;
  marks: { x: number; letter: string; title: string }[];
  /** Beside the plot, one a yardstick, by the number in the list below. */
  bands: {
    x: number;
    width: number;
    y: number;
    height: number;
    isPublished: boolean;
    number: number;
    isCut: boolean;
  }[];
}

/** First and last day that the pictures of a unit show: from the year before the first figure to the end of this one. */
export interface PictureSpan {
  from: IsoDate;
  until: IsoDate;
}

export function pictureSpan(series: readonly AnswerSeries[], today: IsoDate): PictureSpan {
  const first = series
    .flatMap(({ answers }) => answers.map(({ seenOn }) => seenOn))
    .reduce((least, at) => (at < least ? at : least), today);
  const newYear = monthDay('01-01');
  return {
    from: firstDayIn(yearOf(first) - 1, newYear),
    until: addDays(firstDayIn(yearOf(today) + 1, newYear), -1),
  };
}

/** The next of 1, 2, 5, 10, 20 ... that holds the value. */
function roundUp(value: number): number {
  const power = 10 ** Math.floor(Math.log10(Math.max(value, 1e-9)));
  return power * ([1, 2, 5].find((step) => step * power >= value) ?? 10);
}

/** A yardstick of ten times the figures would press them flat; its band is cut off instead. */
function topOf(series: AnswerSeries, yardsticks: readonly Yardstick[]): number {
  const own = Math.max(1e-9, ...series.answers.map(({ mean, high }) => high ?? mean));
  const usual = yardsticks.map(({ high }) => high).filter((high) => high <= own * 3);
  return roundUp(Math.max(own, ...usual));
}

const tenth = (value: number) => Math.round(value * 10) / 10;

function yearMarks(span: PictureSpan, xAt: (at: IsoDate) => number): AnswerPicture['years'] {
  const count = yearOf(span.until) - yearOf(span.from) + 1;
  const step = Math.ceil(count / 6);
  return Array.from({ length: count }, (_, at) => yearOf(span.from) + at)
    .filter((year) => (year - yearOf(span.from)) % step === 0)
    .map((year) => ({ x: xAt(firstDayIn(year, monthDay('01-01'))), words: String(year) }));
}

/** The picture of one measure. Yardsticks are those of its series; marks lie in the span. */
export function answerPicture(
  series: AnswerSeries,
  yardsticks: readonly Yardstick[],
  marks: readonly TreatmentMark[],
  span: PictureSpan,
): AnswerPicture {
  const most = topOf(series, yardsticks);
  const days = daysBetween(span.from, span.until);
  const xAt = (at: IsoDate) => tenth(left + (plotWidth * daysBetween(span.from, at)) / days);
  const yAt = (value: number) => tenth(top + plotHeight * (1 - Math.min(value, most) / most));
  const points = series.answers.map(({ seenOn, mean, low, high }) => ({
    x: xAt(seenOn),
    y: yAt(mean),
    lowY: low === null ? null : yAt(low),
    highY: high === null ? null : yAt(high),
    title: `${words.date(seenOn)}: ${words.number(mean)} ${series.unit}`,
  }));
  const right = left + plotWidth;
  const floor = top + plotHeight;
  return {
    width: right + (yardsticks.length === 0 ? 8 : 8 + bandStep * yardsticks.length),
    height: floor + 48,
    left,
    right,
    floor,
    laneY: floor + 26,
    scale: [0, most / 2, most].map((value) => ({ y: yAt(value), words: words.number(value, 2) })),
    years: yearMarks(span, xAt),
    points,
    line: points.map(({ x, y }) => `${x},${y}`).join(' '),
    marks: marks
      .filter(({ doneOn }) => doneOn >= span.from && doneOn <= span.until)
      .map(({ doneOn, letter, name }) => ({
        x: tenth(Math.min(right - markSize, Math.max(left, xAt(doneOn) - markSize / 2))),
        letter,
        title: `${name}, ${words.date(doneOn)}`,
      })),
    bands: yardsticks.map(({ low, high, status }, at) => ({
      x: right + 8 + bandStep * at,
      width: bandWidth,
      y: yAt(high),
      height: Math.max(2, tenth(yAt(low) - yAt(high))),
      isPublished: status === 'published',
      number: at + 1,
      isCut: high > most,
    })),
  };
}
