import { daysBetween, type IsoDate } from '../../core/dates.ts';
import { monthsOf, type WeekLoad } from '../../core/load.ts';
import * as words from '../words.ts';

/** A week of the load strip, in whole pixels from the top of the strip. */
export interface StripBar {
  x: number;
  y: number;
  width: number;
  height: number;
  isOver: boolean;
  /** Crew days needed, printed beside an over-full week. */
  figure: string;
  title: string;
}

/** Bars a week with the dotted line of what is on hand. */
export interface Strip {
  height: number;
  bars: StripBar[];
  /** Path of the dotted line. */
  onHandPath: string;
  /** Crew days on hand in the fullest week, with its height. */
  mostWords: string;
  mostY: number;
}

/** A month boundary with its name; January and the first month carry the year. */
export interface MonthMark {
  x: number;
  name: string;
}

/** Whole pixels of a span of days. */
export interface TimeScale {
  startsOn: IsoDate;
  endsBefore: IsoDate;
  left: number;
  width: number;
}

/** The pixel of a day's beginning. */
export function xOf(scale: TimeScale, date: IsoDate): number {
  const days = daysBetween(scale.startsOn, scale.endsBefore);
  return scale.left + Math.round((daysBetween(scale.startsOn, date) / days) * scale.width);
}

/**
 * Month boundaries. January and the first month carry their year where there is room for both, else January is
 * named by the year alone; a name is left out where its month has less than 24 pixels.
 */
export function monthMarks(scale: TimeScale): MonthMark[] {
  return monthsOf(scale).map((month, index) => {
    const x = xOf(scale, month.startsOn);
    const room = xOf(scale, month.endsBefore) - x;
    const isYearNamed = month.startsOn.slice(5, 7) === '01' || index === 0;
    const short = words.monthNames[Number(month.startsOn.slice(5, 7)) - 1] ?? '';
    const year = month.startsOn.slice(0, 4);
    if (isYearNamed && room >= 60) return { x, name: `${short} ${year}` };
    if (isYearNamed && index > 0) return { x, name: year };
    return { x, name: room < 24 ? '' : short };
  });
}

function titleOf(week: WeekLoad): string {
  const over =
    week.overTenths > 0 ? `, ${words.number(week.overTenths / 10)} more than the crews have` : '';
  const need = words.number(week.needTenths / 10);
  const onHand = words.number(week.onHandTenths / 10);
  return `Week of ${words.date(week.span.startsOn)}: ${need} of ${onHand} crew days${over}`;
}

/** The load strip of `weeks` (in order, inside the scale), `height` pixels high under a line of figures. */
export function loadStrip(weeks: readonly WeekLoad[], scale: TimeScale, height: number): Strip {
  const most = Math.max(1, ...weeks.map((week) => Math.max(week.needTenths, week.onHandTenths)));
  const mostOnHand = Math.max(0, ...weeks.map((week) => week.onHandTenths));
  const tall = (tenths: number) => Math.round((tenths / most) * height);
  const bars = weeks.map((week): StripBar => {
    const x = xOf(scale, week.span.startsOn);
    const barHeight = tall(week.needTenths);
    return {
      x: x + 1,
      y: height - barHeight,
      width: Math.max(1, xOf(scale, week.span.endsBefore) - x - 1),
      height: barHeight,
      isOver: week.overTenths > 0,
      figure: week.overTenths > 0 ? words.number(week.needTenths / 10) : '',
      title: titleOf(week),
    };
  });
  const steps = weeks.map((week, index) => {
    const x = xOf(scale, week.span.startsOn);
    const y = height - tall(week.onHandTenths);
    return `${index === 0 ? `M${x} ${y}` : `V${y}`}H${xOf(scale, week.span.endsBefore)}`;
  });
  return {
    height,
    bars,
    onHandPath: steps.join(''),
    mostWords: `at most ${words.number(mostOnHand / 10)} on hand`,
    mostY: height - tall(mostOnHand),
  };
}
