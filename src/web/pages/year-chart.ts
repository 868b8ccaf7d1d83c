import { addDays, type IsoDate, lastDayOf, yearOf } from '../../core/dates.ts';
import type { WeekLoad } from '../../core/load.ts';
import type { NoWorkSpan } from '../../core/no-work.ts';
import type { Property } from '../../core/properties.ts';
import type { BurnRotation, FireStatus } from '../../core/rotation.ts';
import { fireStatusWords } from '../../core/rotation.ts';
import type { AnchorName } from '../../core/seasons.ts';
import { anchorDate } from '../../core/seasons.ts';
import type { YearMark, YearProperty, YearRow } from '../../core/year.ts';
import * as words from '../words.ts';
import {
  loadStrip,
  type MonthMark,
  monthMarks,
  type Strip,
  type TimeScale,
  xOf,
} from './load-strip.ts';

/** Widths and heights of the chart, in pixels of its own. */
export const chartWidth = 1200;
const timeLeft = 250;
const timeWidth = 942;
const stripTop = 16;
const stripHeight = 28;
const rowHeightLeast = 34;
const chipWidthLeast = 17;
const laneHeight = 20;
const groupHeadHeight = 30;
const groupFootHeight = 36;
/** Right edge of the words about a unit. */
const nameRight = 158;
const fireLeft = 166;
const fireWidth = 70;

/** A piece of work on a row. */
export interface Chip {
  /** Family letter and state letters as classes: `B t`. */
  classes: string;
  letter: string;
  x: number;
  /** Below the row's first lane. */
  y: number;
  width: number;
  /** Middle of the letter. */
  middle: number;
  hasTick: boolean;
  isStruck: boolean;
  path: string;
  title: string;
}

/** The time-since-fire sign: pixels on the line from zero to twice the most interval. */
export interface FireSign {
  words: string;
  title: string;
  isLate: boolean;
  /** Null where no interval is known. */
  line: {
    thickFrom: number;
    thickTo: number;
    tick: number | null;
  } | null;
}

export interface ChartRow {
  y: number;
  height: number;
  code: string;
  name: string;
  about: string;
  path: string;
  /** Null where nothing was cut off. */
  fullName: string | null;
  fire: FireSign;
  windows: { x: number; width: number; letter: string; title: string }[];
  noWork: { x: number; width: number; title: string }[];
  cures: { path: string; tickX: number | null; wordsX: number; title: string }[];
  chips: Chip[];
}

export interface ChartGroup {
  name: string;
  top: number;
  rowsTop: number;
  rowsHeight: number;
  rows: ChartRow[];
  leafOuts: { x: number; words: string; title: string; isBefore: boolean }[];
}

export interface YearChart {
  width: number;
  height: number;
  timeLeft: number;
  timeRight: number;
  nameX: number;
  strip: Strip & { top: number };
  months: MonthMark[];
  todayX: number | null;
  groups: ChartGroup[];
  legendTop: number;
}

/** Path of the task on its unit's page; a fact without a task leads to the unit. */
export function taskPath(unitId: number, taskKey: string | null): string {
  if (taskKey === null) return `/units/${unitId}`;
  const [, , stepKey = '', cycle = '', part = '-'] = taskKey.split('/');
  return `/units/${unitId}#task-${[stepKey, cycle, ...(part === '-' ? [] : [part])].join('-')}`;
}

/** Dates of a piece of work in words, to their precision. */
export function markDates(mark: YearMark): string {
  return mark.precision === 'day'
    ? words.span(mark.startsOn, mark.lastDay)
    : words.entryDate(mark.lastDay, mark.precision);
}

/** State of a piece of work in words; a burn is never more than tentative before its call. */
export function markState(mark: YearMark, isDraft: boolean): string {
  switch (mark.state) {
    case 'when-fit':
      return 'tentative, when fit: the boss calls the day';
    case 'dated':
      return `${isDraft ? 'tentative, in a draft' : 'planned'}${mark.isHeld ? ', dates held' : ''}`;
    case 'partly':
      return 'partly done';
    default:
      return words.stateNames[mark.state];
  }
}

function chipClasses(mark: YearMark, isDraft: boolean): string {
  const letter = words.familyLetters[mark.family];
  if (mark.state === 'done' || mark.state === 'partly') return `${letter} d`;
  if (mark.state === 'not-possible') return `${letter} x`;
  const isTentative = mark.state === 'when-fit' || (isDraft && mark.state === 'dated');
  return isTentative ? `${letter} t` : letter;
}

/** Chips side by side where there is room, else in lanes below each other. */
function chipsOf(
  row: YearRow,
  scale: TimeScale,
  isDraft: boolean,
): { chips: Chip[]; lanes: number } {
  const right = scale.left + scale.width;
  const endOfLane: number[] = [];
  const placed = row.marks.map((mark) => {
    const from = Math.max(scale.left, xOf(scale, mark.startsOn));
    const to = Math.min(right, xOf(scale, addDays(mark.lastDay, 1)));
    const width = Math.max(chipWidthLeast, to - from);
    const x = Math.min(from, right - width);
    const free = endOfLane.findIndex((end) => end < x);
    const lane = free >= 0 ? free : endOfLane.length;
    endOfLane[lane] = x + width;
    return { mark, x, width, lane };
  });
  const lanes = Math.max(1, endOfLane.length);
  const chips = placed.map(({ mark, x, width, lane }): Chip => {
    const hasTick = mark.state === 'done' || mark.state === 'partly';
    return {
      classes: chipClasses(mark, isDraft),
      letter: words.familyLetters[mark.family],
      x,
      y: lane * laneHeight,
      width,
      middle: x + Math.round(width / 2),
      hasTick,
      isStruck: mark.state === 'not-possible',
      path: taskPath(row.unit.id, mark.taskKey),
      title: `${row.unit.code} ${mark.name}, ${markDates(mark)}, ${markState(mark, isDraft)}`,
    };
  });
  return { chips, lanes };
}

function shortFire(fire: FireStatus): string {
  if (fire.kind === 'held') return `held to ${fire.untilYear}`;
  if (fire.kind === 'within') return `${fire.yearsSince.toFixed(1)} yr`;
  if (fire.kind === 'overdue')
    return `${fire.yearsSince.toFixed(1)} yr, ${fire.yearsOver.toFixed(1)} over`;
  return fireStatusWords(fire);
}

/** The sign on a line from zero to twice the most interval; a unit beyond its end stands at the end. */
export function fireSign(fire: FireStatus, rotation: BurnRotation | null): FireSign {
  const base = {
    words: shortFire(fire),
    title: fireStatusWords(fire),
    isLate: fire.kind === 'overdue',
  };
  if (!rotation || fire.kind === 'not-planned' || fire.kind === 'held')
    return { ...base, line: null };
  const at = (years: number) =>
    fireLeft +
    Math.round((Math.min(years, 2 * rotation.mostYears) / (2 * rotation.mostYears)) * fireWidth);
  return {
    ...base,
    title: `interval ${rotation.leastSeasons} to ${rotation.mostYears} years`,
    line: {
      thickFrom: at(rotation.leastSeasons),
      thickTo: at(rotation.mostYears),
      tick: 'yearsSince' in fire ? at(fire.yearsSince) : null,
    },
  };
}

function clipX(
  scale: TimeScale,
  startsOn: IsoDate,
  endsBefore: IsoDate,
): { x: number; width: number } {
  const x = Math.max(scale.left, xOf(scale, startsOn));
  const right = Math.min(scale.left + scale.width, xOf(scale, endsBefore));
  return { x, width: Math.max(1, right - x) };
}

function curesOf(row: YearRow, scale: TimeScale): ChartRow['cures'] {
  return row.cures.map((cure) => {
    const { x, width } = clipX(scale, cure.span.startsOn, cure.span.endsBefore);
    const isUseByShown = cure.useByOn >= scale.startsOn && cure.useByOn < scale.endsBefore;
    const isLineShown =
      cure.span.startsOn < scale.endsBefore && cure.span.endsBefore > scale.startsOn;
    return {
      path: isLineShown ? `M${x} 17h${width}` : '',
      tickX: isUseByShown ? xOf(scale, addDays(cure.useByOn, 1)) : null,
      wordsX: x + 4,
      title: `curing since ${words.date(addDays(cure.span.startsOn, -1))}, use by ${words.date(cure.useByOn)}`,
    };
  });
}

/** What bars the work and by whose word: "Firearms deer season: people with guns in the woods (owner)". */
export function noWorkReasons(spans: readonly NoWorkSpan[]): string {
  const why = spans.map((one) => {
    const ask = one.firmness === 'ask-first' ? ', ask first' : '';
    return `${one.name}: ${one.reason} (${words.authorityNames[one.authority]}${ask})`;
  });
  return why.join('; ');
}

function shorten(text: string, most: number): string {
  return text.length <= most ? text : `${text.slice(0, most - 1).trimEnd()}…`;
}

function rowOf(
  row: YearRow,
  y: number,
  scale: TimeScale,
  nameX: number,
  isDraft: boolean,
): ChartRow {
  const { chips, lanes } = chipsOf(row, scale, isDraft);
  const community = row.community?.name.toLowerCase() ?? row.unit.communityKey;
  const size = ` · ${words.number(row.unit.areaAcres)} ac`;
  const whole = `${community}${size}`;
  const name = shorten(row.unit.name, Math.floor((nameRight - 14 - nameX) / 6.5));
  const about = `${shorten(community, Math.floor((nameRight - nameX) / 5.6) - size.length)}${size}`;
  return {
    y,
    height: lanes === 1 ? rowHeightLeast : lanes * laneHeight + 14,
    code: row.unit.code,
    name,
    about,
    path: `/units/${row.unit.id}`,
    fullName:
      name === row.unit.name && about === whole
        ? null
        : `${row.unit.code} ${row.unit.name}, ${whole}`,
    fire: fireSign(row.fire, row.rotation),
    windows: row.windows.map((window) => ({
      ...clipX(scale, window.span.startsOn, window.span.endsBefore),
      letter: words.familyLetters[window.family],
      title: `${window.family === 'burn' ? 'burn season' : 'seasonal window'}, ${window.name}: ${words.span(window.span.startsOn, lastDayOf(window.span))}`,
    })),
    noWork: row.noWork.map((one) => ({
      ...clipX(scale, one.span.startsOn, one.span.endsBefore),
      title: `no-work dates ${words.span(one.span.startsOn, lastDayOf(one.span))}: ${one.spans.map((rule) => rule.name).join('; ')}`,
    })),
    cures: curesOf(row, scale),
    chips,
  };
}

const usualWords = ', usual date, a week or more either way';

/**
 * Leaf-out of a year with its error in words: 9 days while the usual warmth stands in for that of the spring, 4 once its own
 * temperatures are in (`leafOutEstimate`); the page Leaf-out says which.
 */
function leafOutWords(property: Property, year: number, at: IsoDate): string {
  const anchor: AnchorName = 'leaf-out';
  const own = property.anchors.byYear.find((row) => row.anchor === anchor && row.year === year);
  if (own?.how === 'observed') return `leaf-out ${words.dayMonth(at)}, observed`;
  return own
    ? `leaf-out about ${words.dayMonth(at)}, computed, ± 4 to 9 days`
    : `leaf-out about ${words.dayMonth(at)}${usualWords}`;
}

function leafOutsOf(property: Property, scale: TimeScale): ChartGroup['leafOuts'] {
  const found: ChartGroup['leafOuts'] = [];
  for (let year = yearOf(scale.startsOn); year <= yearOf(scale.endsBefore); year++) {
    const at = anchorDate(property.anchors, 'leaf-out', year);
    if (at < scale.startsOn || at >= scale.endsBefore) continue;
    const text = leafOutWords(property, year, at);
    const x = xOf(scale, at);
    // Said in full once; the words of later years would run into each other.
    const isSaid = found.some((other) => other.title.endsWith(usualWords));
    const shown = isSaid ? text.replace(usualWords, '') : text;
    const isBefore = x > scale.left + scale.width - 280;
    found.push({ x, words: shown, title: `${year}: ${text}`, isBefore });
  }
  return found;
}

/** The whole chart in whole pixels. `span` is what is shown, `isDraft` draws every planned task as tentative. */
export function yearChart(
  properties: readonly YearProperty[],
  weeks: readonly WeekLoad[],
  span: { startsOn: IsoDate; endsBefore: IsoDate },
  today: IsoDate,
  isDraft: boolean,
): YearChart {
  const scale: TimeScale = { ...span, left: timeLeft, width: timeWidth };
  const codes = properties.flatMap((one) => one.rows.map((row) => row.unit.code.length));
  const nameX = 8 * Math.max(2, ...codes) + 12;
  let y = stripTop + stripHeight;
  const groups = properties.map(({ property, rows }): ChartGroup => {
    const top = y;
    const rowsTop = top + groupHeadHeight;
    y = rowsTop;
    const chartRows = rows.map((row) => {
      const chartRow = rowOf(row, y, scale, nameX, isDraft);
      y += chartRow.height;
      return chartRow;
    });
    const rowsHeight = y - rowsTop;
    y += groupFootHeight;
    const leafOuts = leafOutsOf(property, scale);
    return { name: property.name, top, rowsTop, rowsHeight, rows: chartRows, leafOuts };
  });
  const isTodayShown = span.startsOn <= today && today < span.endsBefore;
  return {
    width: chartWidth,
    height: y + 56,
    timeLeft,
    timeRight: timeLeft + timeWidth,
    nameX,
    strip: { ...loadStrip(weeks, scale, stripHeight), top: stripTop },
    months: monthMarks(scale),
    todayX: isTodayShown ? xOf(scale, today) : null,
    groups,
    legendTop: y + 8,
  };
}
