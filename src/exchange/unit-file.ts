import type { SharedEdge } from '../core/geometry.ts';
import type { Problem } from '../core/problems.ts';
import { type Aspect, densityClasses, type Unit } from '../core/units.ts';

export const unitFileBytesMost = 20_000_000;
export const unitsMost = 5000;
export const problemsShownMost = 200;
/** More than this is no unit that is treated as one; a slip of the comma or of the units. */
const acresMost = 100_000;
const slopePercentMost = 300;
/** Entered and measured acres may differ by this share before a note says so. */
const acresShareApart = 0.05;

/** A unit as read from a file; it gets its ids when it is stored. */
export type ImportedUnit = Omit<Unit, 'id' | 'propertyId' | 'blockId'>;

/** What a file of units holds. All or nothing: with any problem there are no units to import. */
export interface UnitFileReading {
  units: ImportedUnit[];
  neighbours: SharedEdge[];
  /** The first 200; `line` is the line of a CSV file or the number of a GeoJSON feature. */
  problems: Problem[];
  problemCount: number;
  /** Worth a look, and no bar to the import. */
  notes: Problem[];
}

/** What the file is read against. */
export interface UnitFileContext {
  /** Keys of the natural communities that are known. */
  communityKeys: readonly string[];
  /** Length of the file before decoding; default = of the text. */
  byteLength?: number;
}

/** Columns of a CSV file and properties of a GeoJSON feature, with what goes in. */
export const unitFields = [
  'code',
  'name',
  'acres',
  'community',
  'aspect',
  'slope_percent',
  'density',
  'tags',
] as const;
export type UnitField = (typeof unitFields)[number];

/** Values of one line or feature, as found. */
export type RawUnit = Partial<Record<UnitField, unknown>>;

const aspects: readonly Aspect[] = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW', 'flat'];

/** Collects problems: all are counted, the first 200 kept. */
export function problemList() {
  const problems: Problem[] = [];
  let count = 0;
  return {
    problems,
    count: () => count,
    add(problem: Problem): void {
      count += 1;
      if (problems.length < problemsShownMost) problems.push(problem);
    },
  };
}
export type ProblemList = ReturnType<typeof problemList>;

/** A reading that holds nothing but problems. */
export function refused(...problems: Problem[]): UnitFileReading {
  return {
    units: [],
    neighbours: [],
    problems: problems.slice(0, problemsShownMost),
    problemCount: problems.length,
    notes: [],
  };
}

/** Why the file is not even looked into, or null. */
export function wholeFileProblem(text: string, context: UnitFileContext): Problem | null {
  if ((context.byteLength ?? Buffer.byteLength(text)) > unitFileBytesMost)
    return {
      code: 'file-too-large',
      message: 'The file is over 20 MB: split it, or simplify the outlines in the mapping program.',
    };
  const at = text.search(/\0|\uFFFD/);
  if (at >= 0)
    return {
      code: 'file-not-text',
      message:
        'The file is not plain text in UTF-8: save it as GeoJSON or as CSV with UTF-8 encoding (not as a spreadsheet, zip or shapefile).',
      line: text.slice(0, at).split('\n').length,
    };
  if (text.trim() === '')
    return { code: 'file-empty', message: 'The file is empty: it needs at least one unit.' };
  return null;
}

/** Reads and checks the fields that both file formats share; one instance a file, as it remembers codes. */
export function unitReader(context: UnitFileContext, list: ProblemList) {
  const firstAt = new Map<string, number>();
  return (raw: RawUnit, line: number, place: string) => {
    const fields = fieldReader(raw, line, place, list);
    const code = fields.text('code', 20, true);
    const first = firstAt.get(code);
    if (code !== '' && first !== undefined)
      fields.refuse(
        'code',
        'duplicate-code',
        `"${code}" was used before (${place.split(' ')[0]} ${first}): give each unit its own code`,
      );
    if (first === undefined) firstAt.set(code, line);
    const communityKey = fields.text('community', 60, true).toLowerCase();
    if (communityKey !== '' && !context.communityKeys.includes(communityKey))
      fields.refuse(
        'community',
        'unknown-community',
        `"${communityKey}" is not known: use one of ${context.communityKeys.join(', ')}`,
      );
    return {
      code,
      name: fields.text('name', 120, false) || code,
      communityKey,
      acres: fields.number('acres', 0, acresMost, true),
      aspect: fields.oneOf('aspect', aspects),
      slopePercent: fields.number('slope_percent', 0, slopePercentMost, false),
      densityClass: fields.oneOf('density', densityClasses),
      tags: fields.tags(),
    };
  };
}

function shown(value: unknown): string {
  const text = typeof value === 'string' ? value : (JSON.stringify(value) ?? '');
  return text.length > 40 ? `${text.slice(0, 40)}...` : text;
}

function fieldReader(raw: RawUnit, line: number, place: string, list: ProblemList) {
  const refuse = (field: UnitField, code: string, what: string) =>
    list.add({ code, message: `${place}, ${field}: ${what}.`, field, line });
  const text = (field: UnitField, lengthMost: number, isNeeded: boolean): string => {
    const value = raw[field] ?? '';
    const trimmed = typeof value === 'number' ? String(value) : value;
    if (typeof trimmed !== 'string') {
      refuse(field, 'not-text', `${shown(value)} is not text: put a word or leave it out`);
      return '';
    }
    const clean = trimmed.trim();
    if (clean === '' && isNeeded)
      refuse(field, 'missing-value', 'it is blank: every unit needs one');
    else if (clean.length > lengthMost || /\p{Cc}/u.test(clean))
      refuse(
        field,
        'impossible-value',
        `"${shown(clean)}" is too long or holds control characters: use at most ${lengthMost} letters on one line`,
      );
    return clean;
  };
  return {
    refuse,
    text,
    /** Blank gives null. */
    number(field: UnitField, least: number, most: number, isAbove: boolean): number | null {
      const value = raw[field] ?? '';
      const written = typeof value === 'string' ? value.trim() : value;
      if (written === '') return null;
      const isPlain = typeof written === 'string' && /^[+-]?\d+(\.\d+)?$/.test(written);
      const found = typeof written === 'number' || isPlain ? Number(written) : Number.NaN;
      if (!Number.isFinite(found)) {
        refuse(
          field,
          'not-a-number',
          `"${shown(value)}" is not a number: write digits with a point, such as 12.5`,
        );
        return null;
      }
      if (found < least || found > most || (isAbove && found === least)) {
        refuse(
          field,
          'impossible-value',
          `${found} is not possible: use a number ${isAbove ? `above ${least}` : `from ${least}`} and at most ${most}`,
        );
        return null;
      }
      return found;
    },
    /** Blank gives null; capitals do not matter. */
    oneOf<T extends string>(field: UnitField, choices: readonly T[]): T | null {
      const value = text(field, 40, false);
      const found = choices.find((choice) => choice.toLowerCase() === value.toLowerCase());
      if (value !== '' && found === undefined)
        refuse(
          field,
          'impossible-value',
          `"${shown(value)}" is not known: use one of ${choices.join(', ')}, or leave it blank`,
        );
      return found ?? null;
    },
    /** A list of words, or words with spaces, commas or semicolons between them. */
    tags(): string[] {
      const value = raw.tags ?? '';
      const words: unknown[] =
        typeof value === 'string' ? value.split(/[\s,;]+/) : Array.isArray(value) ? value : [value];
      const found = words.filter((word) => word !== '');
      for (const word of found)
        if (typeof word !== 'string' || !/^[a-z0-9][a-z0-9-]{0,39}$/.test(word)) {
          refuse(
            'tags',
            'impossible-value',
            `"${shown(word)}" is not a tag: use small letters, digits and hyphens, such as contract-land, with spaces between tags`,
          );
          return [];
        }
      return [...new Set(found as string[])];
    },
  };
}

/** Says so when the acres entered and those of the outline are more than 5 % apart. */
export function acresNote(unit: ImportedUnit, line: number, place: string): Problem | null {
  if (unit.measuredAcres === null) return null;
  const apart = Math.abs(unit.areaAcres - unit.measuredAcres) / unit.measuredAcres;
  if (apart <= acresShareApart) return null;
  return {
    code: 'acres-apart',
    message: `${place}, acres: ${unit.areaAcres} were entered and the outline measures ${unit.measuredAcres.toFixed(1)}: work is planned by the entered acres; correct them or the outline if that is wrong.`,
    field: 'acres',
    line,
    ref: unit.code,
  };
}

/** An outline smaller or larger than any unit, as a sentence; null when it is sound. */
export function acresProblem(measuredAcres: number, line: number, place: string): Problem | null {
  if (measuredAcres >= 0.001 && measuredAcres <= acresMost) return null;
  return {
    code: 'impossible-outline',
    message: `${place}, outline: it measures ${measuredAcres < 1 ? 'nothing' : `${Math.round(measuredAcres)} acres`}: check its coordinates (longitude and latitude in degrees).`,
    field: 'geometry',
    line,
  };
}
