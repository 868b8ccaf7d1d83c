import { type MonthDay, parseMonthDay } from './dates.ts';
import type { AnchorName, SeasonalWindow, WindowEnd } from './seasons.ts';

/** An end or window as it was read, or what to mend in it: the rest of a sentence. */
export type Read<T> = { ok: true; value: T } | { ok: false; fault: string };

const endHelp =
  'write month and day such as 04-01, or leaf-out - 7, leaf-fall + 7, or earlier of 04-01 and leaf-out - 7';
/** Days that an end may lie from its anchor. */
const plusDaysMost = 180;
/** Ends inside ends, such as an earlier of a later of two. */
const depthMost = 4;

/** One end as a person types it: "04-01", "leaf-fall + 7", "earlier of 04-01 and leaf-out - 7". */
export function windowEndText(end: WindowEnd): string {
  if ('at' in end) return end.at;
  if ('anchor' in end) {
    const { anchor, plusDays } = end;
    if (plusDays === 0) return anchor;
    return `${anchor} ${plusDays > 0 ? '+' : '-'} ${Math.abs(plusDays)}`;
  }
  const [kind, [one, other]] =
    'earlierOf' in end ? ['earlier', end.earlierOf] : ['later', end.laterOf];
  return `${kind} of ${windowEndText(one)} and ${windowEndText(other)}`;
}

/** Windows, one a line: "leaf-fall + 7 to earlier of 04-01 and leaf-out - 7". */
export function windowsText(windows: readonly SeasonalWindow[]): string {
  return windows
    .map(({ opens, closes }) => `${windowEndText(opens)} to ${windowEndText(closes)}`)
    .join('\n');
}

const months = 'jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec';
const anchorPattern =
  '(leaf[- ]out|leaf[- ]fall|(?:cool[- ]season )?green[- ]?up|warm[- ]season(?: grass)?[- ]start)';
const monthDayStart = /^\d{1,2}-\d{1,2}(?!\d)/;
const dayMonthStart = new RegExp(`^(\\d{1,2}) (${months})[a-z]*`);
const anchorStart = new RegExp(`^${anchorPattern}(?: ?([+-]) ?(\\d+)(?: days?)?)?`);
const daysFromStart = new RegExp(`^(\\d+) days? (after|before) ${anchorPattern}`);
const pairStart = /^(?:the )?(earlier|later) of /;

function anchorNamed(words: string): AnchorName {
  if (words.includes('out')) return 'leaf-out';
  if (words.includes('fall')) return 'leaf-fall';
  return words.includes('green') ? 'green-up' : 'warm-season-start';
}

interface Part {
  end: WindowEnd;
  rest: string;
}

function monthDayPart(text: string, rest: string): Part | null {
  const at: MonthDay | null = parseMonthDay(
    text
      .split('-')
      .map((part) => part.padStart(2, '0'))
      .join('-'),
  );
  return at && { end: { at }, rest };
}

/** The end that a text begins with; null = none. */
function endAtStart(text: string, depth: number): Part | null {
  const pair = pairStart.exec(text);
  if (pair) {
    const one = depth > 0 ? endAtStart(text.slice(pair[0].length), depth - 1) : null;
    if (!one?.rest.startsWith(' and ')) return null;
    const other = endAtStart(one.rest.slice(5), depth - 1);
    if (!other) return null;
    const ends: [WindowEnd, WindowEnd] = [one.end, other.end];
    return {
      end: pair[1] === 'earlier' ? { earlierOf: ends } : { laterOf: ends },
      rest: other.rest,
    };
  }
  const after = (found: RegExpExecArray) => text.slice(found[0].length);
  const monthAndDay = monthDayStart.exec(text);
  if (monthAndDay) return monthDayPart(monthAndDay[0], after(monthAndDay));
  const dayAndMonth = dayMonthStart.exec(text);
  if (dayAndMonth) {
    const month = months.split('|').indexOf(dayAndMonth[2] ?? '') + 1;
    return monthDayPart(`${month}-${dayAndMonth[1]}`, after(dayAndMonth));
  }
  const daysFrom = daysFromStart.exec(text);
  const anchored = daysFrom ?? anchorStart.exec(text);
  if (!anchored) return null;
  const [count, isBefore, name] = daysFrom
    ? [daysFrom[1], daysFrom[2] === 'before', daysFrom[3]]
    : [anchored[3], anchored[2] === '-', anchored[1]];
  const days = Number(count ?? 0);
  if (days > plusDaysMost) return null;
  const plusDays = isBefore && days > 0 ? -days : days;
  return { end: { anchor: anchorNamed(name ?? ''), plusDays }, rest: after(anchored) };
}

const plain = (text: string) => text.trim().toLowerCase().replaceAll(/\s+/g, ' ');

/**
 * One end of a window as typed, in the words of `windowEndText` or as screens show it ("1 Apr", "7 days before
 * leaf-out"). An anchor goes at most 180 days off.
 */
export function readWindowEnd(text: string): Read<WindowEnd> {
  const found = endAtStart(plain(text), depthMost);
  return found?.rest === ''
    ? { ok: true, value: found.end }
    : { ok: false, fault: `${endHelp}; an anchor goes at most ${plusDaysMost} days off.` };
}

function readWindow(text: string): Read<SeasonalWindow> {
  const opens = endAtStart(plain(text), depthMost);
  if (!opens)
    return {
      ok: false,
      fault: `the first day can not be read; ${endHelp}, then "to" and the last day.`,
    };
  if (!opens.rest.startsWith(' to '))
    return {
      ok: false,
      fault: 'write first and last day with "to" between, such as 11-01 to 03-31.',
    };
  const closes = endAtStart(opens.rest.slice(4), depthMost);
  return closes?.rest === ''
    ? { ok: true, value: { opens: opens.end, closes: closes.end } }
    : { ok: false, fault: `the last day can not be read; ${endHelp}.` };
}

/** Windows as typed, one a line; blank lines are passed over. A fault names its line. */
export function readWindows(text: string): Read<SeasonalWindow[]> {
  const windows: SeasonalWindow[] = [];
  for (const [at, line] of text.split(/\r?\n/).entries()) {
    if (line.trim() === '') continue;
    const window = readWindow(line);
    if (!window.ok) return { ok: false, fault: `line ${at + 1}: ${window.fault}` };
    windows.push(window.value);
  }
  return { ok: true, value: windows };
}
