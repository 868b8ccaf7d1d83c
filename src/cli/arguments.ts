import { writeFileSync } from 'node:fs';
import { type ParseArgsConfig, parseArgs } from 'node:util';
import { type IsoDate, parseIsoDate } from '../core/dates.ts';
import type { Problem } from '../core/problems.ts';

/** Exit codes of every verb. */
export const exitDone = 0;
export const exitProblems = 1;
export const exitUsage = 2;

/** A verb of the command line; `run` returns the exit code. */
export interface Verb {
  name: string;
  summary: string;
  /** Lines after the usage line: options and what they mean. */
  help: string;
  run(args: string[]): Promise<number>;
}

/** Wrong usage: ends with exit code 2 and the sentence. */
export class UsageError extends Error {}

type Options = NonNullable<ParseArgsConfig['options']>;

/** `--lon -94.7` as `--lon=-94.7`: a negative number is a value, not an option. */
function joinNegative(args: readonly string[]): string[] {
  const joined: string[] = [];
  for (const arg of args) {
    const before = joined.at(-1);
    if (/^-\.?\d/.test(arg) && before?.startsWith('--') && !before.includes('='))
      joined[joined.length - 1] = `${before}=${arg}`;
    else joined.push(arg);
  }
  return joined;
}

/** The named options and the files of a call; throws UsageError on unknown or malformed ones. */
export function readArguments(
  args: string[],
  names: readonly string[],
  flags: readonly string[] = [],
): { values: Record<string, string | undefined>; flags: Set<string>; files: string[] } {
  const options: Options = {};
  for (const name of names) options[name] = { type: 'string' };
  for (const name of flags) options[name] = { type: 'boolean' };
  try {
    const parsed = parseArgs({ args: joinNegative(args), options, allowPositionals: true });
    const values: Record<string, string | undefined> = {};
    for (const name of names) values[name] = parsed.values[name] as string | undefined;
    const set = new Set(flags.filter((name) => parsed.values[name] === true));
    return { values, flags: set, files: parsed.positionals };
  } catch (error) {
    throw new UsageError(error instanceof Error ? error.message : String(error));
  }
}

/** A number of an option inside limits; throws UsageError with the option's name and the fix. */
export function readNumber(
  values: Record<string, string | undefined>,
  name: string,
  limits: { least: number; most: number; whole?: boolean },
): number | null {
  const text = values[name];
  if (text === undefined) return null;
  const value = Number(text);
  const isFine =
    text.trim() !== '' &&
    value >= limits.least &&
    value <= limits.most &&
    (!limits.whole || Number.isInteger(value));
  if (!isFine)
    throw new UsageError(
      `--${name} takes a ${limits.whole ? 'whole ' : ''}number from ${limits.least} to ${limits.most}, not "${text}".`,
    );
  return value;
}

export function readRequired(values: Record<string, string | undefined>, name: string): string {
  const text = values[name];
  if (!text) throw new UsageError(`--${name} is needed.`);
  return text;
}

/** `--today YYYY-MM-DD`, for tests and pictures; null = the real day. */
export function readToday(values: Record<string, string | undefined>): IsoDate | null {
  const text = values['today'];
  if (text === undefined) return null;
  const date = parseIsoDate(text);
  if (!date) throw new UsageError(`--today takes a date like 2027-03-04, not "${text}".`);
  return date;
}

/** Writes JSON to a file, or to standard output when `file` is `-`. */
export function writeJson(file: string, value: unknown): void {
  const text = `${JSON.stringify(value, null, 2)}\n`;
  if (file === '-') process.stdout.write(text);
  else writeFileSync(file, text);
}

/** One problem a line; its place is put before it where the sentence does not name it already. */
export function printProblems(problems: readonly Problem[]): void {
  for (const { line, field, message } of problems) {
    const isPlaced = line !== undefined && message.includes(String(line));
    const where = isPlaced ? [] : [line === undefined ? '' : `line ${line}`, field ?? ''];
    const place = where.filter(Boolean).join(', ');
    process.stderr.write(`${place === '' ? '' : `${place}: `}${message}\n`);
  }
}
