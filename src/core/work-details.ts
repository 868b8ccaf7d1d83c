import type { Problem } from './problems.ts';
import type { WorkEntry } from './worklog.ts';

/** Weather that was read at a fire, once an hour or so. */
export interface FireReading {
  /** Local time of the day, `HH:MM`. */
  at: string;
  tempF: number | null;
  rhPercent: number | null;
  windMph: number | null;
  gustMph: number | null;
  /** Degrees that the wind came from. */
  windFromDegrees: number | null;
  note: string;
}

/** Why work was done inside no-work dates: by an approval, or for a reason. */
export interface NoWorkNote {
  /** Names of the rules as they stood when it was logged. */
  rules: string[];
  approvedBy: string;
  /** Number or date of the approval. */
  reference: string;
  reason: string;
}

/** What an entry of the work log holds beside the facts that the planner reads. */
export interface WorkDetail {
  entryId: number;
  /** Spent, without the pay of the own crew. */
  moneyUsd: number | null;
  /** Hours by key of the gear row. */
  gearHours: { gearKey: string; hours: number }[];
  /** Local times of day, `HH:MM`; fires: lit, and the last of the lighting. */
  startedAt: string | null;
  endedAt: string | null;
  readings: FireReading[];
  /** File names in the photo folder beside the database, oldest first. */
  photos: string[];
  /** What each of the photos shows, in the same order. */
  captions?: string[];
  /** Null or absent: the work was outside all no-work dates, or nothing was asked (entries of earlier years). */
  noWork?: NoWorkNote | null;
}

/** What can be typed of a detail; photos come in as files. */
export type DetailFacts = Omit<WorkDetail, 'entryId' | 'photos' | 'captions'>;

export const noDetail: DetailFacts = {
  moneyUsd: null,
  gearHours: [],
  startedAt: null,
  endedAt: null,
  readings: [],
  noWork: null,
};

/** An entry as it is written: the facts with what stands beside them. */
export interface EntryDraft {
  entry: Omit<WorkEntry, 'id'>;
  detail: DetailFacts;
}

/** What an entry was before a correction. */
export interface EntryVersion {
  /** UTC instant, `YYYY-MM-DDTHH:MM:SSZ`. */
  correctedAt: string;
  /** Null: nobody was signed in. */
  correctedBy: string | null;
  entry: WorkEntry;
  detail: DetailFacts;
}

/** Most photos of an entry, and the most bytes of each. */
export const photosMost = 12;
export const photoBytesMost = 15 * 1024 * 1024;
export const readingsMost = 200;

const timeOfDay = /^([01]\d|2[0-3]):[0-5]\d$/;

/** True for a local time of day, `HH:MM`. */
export function isTimeOfDay(text: string): boolean {
  return timeOfDay.test(text);
}

const limits = {
  tempF: ['Temperature', -60, 150],
  rhPercent: ['Humidity', 0, 100],
  windMph: ['Wind', 0, 150],
  gustMph: ['Gusts', 0, 200],
  windFromDegrees: ['Wind from', 0, 360],
} as const;

/** What is wrong with a reading, each problem with the field it is of. */
export function checkReading(reading: FireReading): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `reading-${field}`, field, message });
  if (!isTimeOfDay(reading.at)) say('at', 'Time: write it as 14:10.');
  for (const [field, [name, least, most]] of Object.entries(limits)) {
    const value = reading[field as keyof typeof limits];
    if (value !== null && !(value >= least && value <= most))
      say(field, `${name}: write a number from ${least} to ${most}, or leave it blank.`);
  }
  const { windMph, gustMph } = reading;
  if (windMph !== null && gustMph !== null && gustMph < windMph)
    say('gustMph', 'Gusts: they can not be weaker than the wind.');
  if (reading.note.length > 300) say('note', 'Note: write at most 300 characters.');
  const isBlank = Object.keys(limits).every((key) => reading[key as keyof typeof limits] === null);
  if (isBlank && reading.note.trim() === '') say('tempF', 'Reading: write at least one figure.');
  return problems;
}

/** What is wrong with the details of an entry as typed. */
export function checkDetail(detail: DetailFacts): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `detail-${field}`, field, message });
  const { moneyUsd, startedAt, endedAt, readings } = detail;
  if (moneyUsd !== null && !(moneyUsd >= 0 && moneyUsd <= 10_000_000))
    say('moneyUsd', 'Money spent: write dollars from 0 to 10,000,000, or leave it blank.');
  if (startedAt !== null && !isTimeOfDay(startedAt))
    say('startedAt', 'Began at: write it as 11:40, or leave it blank.');
  if (endedAt !== null && !isTimeOfDay(endedAt))
    say('endedAt', 'Ended at: write it as 15:20, or leave it blank.');
  if (detail.gearHours.some(({ hours }) => !(hours > 0 && hours <= 10_000)))
    say('gear', 'Gear hours: write hours above 0, or leave it blank.');
  if (readings.length > readingsMost)
    say('readings', `Readings: an entry holds at most ${readingsMost}.`);
  const wrong = readings.flatMap(checkReading);
  if (wrong[0]) say('readings', `Readings: ${wrong[0].message}`);
  return problems;
}

/** Readings in the order of their times; of two of one time the later written comes last. */
export function inOrder(readings: readonly FireReading[]): FireReading[] {
  return readings.toSorted((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
}

const columns = ['at', ...Object.keys(limits), 'note'] as const;

/** Readings as lines of text, as `readingsOf` takes them: time, F, %, mph, gust, degrees, note. */
export function readingLines(readings: readonly FireReading[]): string {
  return inOrder(readings)
    .map((reading) =>
      columns
        .map((column) => reading[column as keyof FireReading] ?? '')
        .join(', ')
        .replace(/(, )+$/, ''),
    )
    .join('\n');
}

/** Reads lines of text, a reading each: time, F, %, mph, gust, degrees, note, with commas between. */
export function readingsOf(text: string): { readings: FireReading[]; problems: Problem[] } {
  const problems: Problem[] = [];
  const readings: FireReading[] = [];
  for (const [index, line] of text.split(/\r?\n/).entries()) {
    if (line.trim() === '') continue;
    const cells = line.split(',').map((cell) => cell.trim());
    const [at = '', ...figures] = cells.slice(0, 6);
    const number = (position: number) => {
      const cell = (figures[position] ?? '').replace(/\s*(F|%|mph|degrees)$/i, '');
      return cell === '' ? null : Number(cell);
    };
    const reading: FireReading = {
      at: at.length === 4 ? `0${at}` : at,
      tempF: number(0),
      rhPercent: number(1),
      windMph: number(2),
      gustMph: number(3),
      windFromDegrees: number(4),
      note: cells.slice(6).join(', '),
    };
    const wrong = checkReading(reading)[0];
    if (wrong) {
      const message = `Readings, line ${index + 1}: ${wrong.message}`;
      problems.push({ code: wrong.code, field: 'readings', message, line: index + 1 });
    } else readings.push(reading);
  }
  return { readings: inOrder(readings), problems };
}
