import { addDays, daysBetween, daysInMonth, type IsoDate, monthOf, yearOf } from './dates.ts';
import { type HistoryDate, readHistoryDate } from './history-dates.ts';
import {
  causeNames,
  causeWords,
  fireWords,
  plainWord,
  readAcres,
  readShareBlack,
} from './history-words.ts';
import type { Operation } from './operation.ts';
import type { Property } from './properties.ts';
import { windowOpenings } from './seasons.ts';
import type { Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

export const historyFields = [
  'unit',
  'date',
  'work',
  'share_black',
  'cause',
  'acres',
  'note',
] as const;
export type HistoryField = (typeof historyFields)[number];

/** One fire or work as written; a cell with several dates gives several. */
export interface HistoryCells extends Record<HistoryField, string> {
  line: number;
  /** 1 for the first date of its cell. */
  part: number;
}

export type HistoryEntry = Omit<WorkEntry, 'id'>;
/** Answers by the key of the question. */
export type HistoryChoices = Readonly<Record<string, string>>;

interface Option {
  key: string;
  name: string;
}

/** Something with more than one reading, or none. The same question is asked once for a file. */
export interface HistoryQuestion {
  key: string;
  text: string;
  options: Option[];
  /** Blank = not answered. */
  chosen: string;
}

export interface HistoryRow {
  line: number;
  part: number;
  /** What it would be in the work log, in words; as far as it is clear. */
  meaning: string;
  state: 'clear' | 'unclear' | 'left-out';
  /** Why it is left out, or what stays open. */
  why: string;
  questions: HistoryQuestion[];
  /** Of a clear row. */
  entry: HistoryEntry | null;
}

export const leaveOut = 'leave-out';
/** Does the answer to a question hold for one row of one table only? */
export function isOfOneRow(key: string): boolean {
  return key.startsWith('twice:') || key.startsWith('unit-of:');
}

const leaveOutOption = { key: leaveOut, name: 'leave it out' };
/** A fire older than this counts as out; of a newer one the work log asks whether it is. */
const watchDaysMost = 30;

/** Asked once for a whole file. */
export const fileQuestions = {
  order: {
    text: 'Days such as 3/4/2019: which stands first?',
    options: [
      { key: 'month-first', name: 'the month (4 March)' },
      { key: 'day-first', name: 'the day (3 April)' },
    ],
  },
  'two-digit-years': {
    text: 'Years of two digits, such as 87 or "march 19": what are they?',
    options: [{ key: 'latest-past', name: 'the latest past year that ends so' }],
  },
} as const;

const monthNames = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

interface Context {
  operation: Operation;
  /** Units that the file may name. */
  units: Unit[];
  today: IsoDate;
  choices: HistoryChoices;
}

/** Collects the questions of one row. An answer `leave-out` ends the row. */
class RowQuestions {
  readonly list: HistoryQuestion[] = [];
  isLeftOut = false;
  isOpen = false;
  private readonly choices: HistoryChoices;

  constructor(choices: HistoryChoices) {
    this.choices = choices;
  }

  /** The answer, or null when there is none or the row is to be left out. */
  ask(key: string, text: string, offered: readonly Option[], usual = ''): string | null {
    const options = [...offered, leaveOutOption];
    const given = this.choices[key] ?? usual;
    const chosen = options.some((option) => option.key === given) ? given : '';
    this.list.push({ key, text, options, chosen });
    if (chosen === leaveOut) this.isLeftOut = true;
    else if (chosen === '') this.isOpen = true;
    return chosen === leaveOut || chosen === '' ? null : chosen;
  }
}

function unitOf(cells: HistoryCells, { units, operation }: Context, questions: RowQuestions) {
  const word = plainWord(cells.unit);
  const found = units.filter((unit) => plainWord(unit.code) === word);
  if (word !== '' && found.length === 1) return found[0]!;
  const property = (unit: Unit) =>
    operation.properties.find((one) => one.id === unit.propertyId)?.name ?? '';
  const options = (found.length > 1 ? found : units).map((unit) => ({
    key: String(unit.id),
    name: `${unit.code} (${unit.name === unit.code ? property(unit) : unit.name})`,
  }));
  const [key, text] =
    word === ''
      ? [`unit-of:${cells.line}`, 'No unit is named: which one?']
      : [
          `unit:${word}`,
          found.length > 1
            ? `"${cells.unit.trim()}" is a unit of several properties: which one?`
            : `No unit has the code "${cells.unit.trim()}": which one is meant?`,
        ];
  const chosen = questions.ask(key, text, options);
  return units.find((unit) => String(unit.id) === chosen) ?? null;
}

function dateOf(
  cells: HistoryCells,
  context: Context,
  questions: RowQuestions,
): HistoryDate | null {
  const { choices, today } = context;
  const order = choices['order'] ?? '';
  const years = choices['two-digit-years'] ?? '';
  const reading = readHistoryDate(
    cells.date,
    {
      order: order === 'month-first' || order === 'day-first' ? order : null,
      twoDigitYears: years === 'latest-past' ? years : null,
    },
    today,
  );
  const written = cells.date.trim();
  if (reading.kind === 'date') return reading.value;
  if (reading.kind === 'ask') {
    const { text, options } = fileQuestions[reading.about];
    questions.ask(reading.about, text, options);
  } else if (reading.kind === 'future')
    questions.ask(`future:${plainWord(written)}`, `"${written}" is after today.`, []);
  else {
    const { year } = reading;
    const isYear = year !== null && year <= yearOf(today);
    const text =
      written === '' ? 'No date is given.' : `"${written}" is not a date that can be read.`;
    const key = written === '' ? 'date:' : `date:${plainWord(written)}`;
    const options = isYear ? [{ key: 'year', name: `some day in ${year}` }] : [];
    if (questions.ask(key, text, options) === 'year')
      return { date: `${year}-01-01` as IsoDate, precision: 'year', isDoubtful: true };
  }
  return null;
}

/** First day and the day after the last on which it may have been. */
function spanOf({ date, precision }: Pick<HistoryDate, 'date' | 'precision'>) {
  const days = {
    day: 1,
    month: daysInMonth(yearOf(date), monthOf(date)),
    year: daysBetween(date, `${yearOf(date) + 1}-01-01` as IsoDate),
  };
  return { startsOn: date, endsBefore: addDays(date, days[precision]) };
}

function treatmentOptions(treatments: readonly Treatment[]) {
  return treatments.map(({ key, name }) => ({ key, name }));
}

/** Which burn a fire was, by its season; asked where the date does not tell. */
function burnOf(
  when: HistoryDate,
  property: Property | undefined,
  { operation }: Context,
  questions: RowQuestions,
): Treatment | null {
  const burns = operation.treatments.filter(
    ({ family, scope }) => family === 'burn' && scope === 'block',
  );
  const span = spanOf(when);
  const inSeason = burns.filter(({ windows }) =>
    windows.some((window) => property && windowOpenings(window, span, property.anchors).length > 0),
  );
  if (when.precision !== 'year' && inSeason.length === 1) return inSeason[0]!;
  const month = monthNames[monthOf(when.date) - 1]!;
  const [key, text] =
    when.precision === 'year'
      ? ['burn:year', 'Fires of which only the year is known: in which season?']
      : [`burn:${month.toLowerCase()}`, `Fires in ${month}: which kind of burn?`];
  const chosen = questions.ask(key, text, treatmentOptions(burns));
  return burns.find((one) => one.key === chosen) ?? null;
}

interface Work {
  treatment: Treatment | null;
  isFire: boolean;
  cause: WorkEntry['fireCause'];
}

function workOf(
  cells: HistoryCells,
  when: HistoryDate | null,
  property: Property | undefined,
  context: Context,
  questions: RowQuestions,
): Work {
  const { treatments } = context.operation;
  const word = plainWord(cells.work);
  const isFire = Object.hasOwn(fireWords, word);
  if (isFire) {
    const treatment = when && burnOf(when, property, context, questions);
    return { treatment, isFire, cause: fireWords[word] ?? null };
  }
  const named = treatments.find(({ key, name }) => word === key || word === plainWord(name));
  if (named) return { treatment: named, isFire: named.family === 'burn', cause: null };
  const text =
    word === '' ? 'No work is named: what was done?' : `"${cells.work.trim()}" is which work?`;
  const fire = { key: 'fire', name: 'a fire, by its season' };
  const chosen = questions.ask(`work:${word}`, text, [fire, ...treatmentOptions(treatments)]);
  if (chosen === 'fire')
    return {
      treatment: when && burnOf(when, property, context, questions),
      isFire: true,
      cause: null,
    };
  const treatment = treatments.find(({ key }) => key === chosen) ?? null;
  return { treatment, isFire: treatment?.family === 'burn', cause: null };
}

function causeOf(cells: HistoryCells, work: Work, questions: RowQuestions): WorkEntry['fireCause'] {
  const word = plainWord(cells.cause);
  if (!work.isFire) return null;
  if (word === '') return work.cause;
  const known = Object.hasOwn(causeWords, word) ? causeWords[word]! : null;
  if (known !== null && (work.cause === null || work.cause === known)) return known;
  const text = known
    ? `The work says ${causeNames[work.cause!]}, the cause says ${causeNames[known]}: which?`
    : `Cause "${cells.cause.trim()}": what was it?`;
  const options = Object.entries(causeNames).map(([key, name]) => ({ key, name }));
  const key = known ? `cause:${plainWord(cells.work)}/${word}` : `cause:${word}`;
  const chosen = questions.ask(key, text, [...options, { key: 'none', name: 'not noted' }]);
  return chosen === null || chosen === 'none' ? null : (chosen as WorkEntry['fireCause']);
}

const blankOption = { key: 'blank', name: 'leave it blank, and keep it in the note' };

/** Amounts, and what could not be used of them, for the note. */
function amountsOf(cells: HistoryCells, work: Work, questions: RowQuestions) {
  const unread: string[] = [];
  let shareBlackPercent: number | null = null;
  let areaAcres: number | null = null;
  const black = cells.share_black.trim();
  const share = black === '' ? null : readShareBlack(black);
  if (black !== '' && !work.isFire) unread.push(`Share black as written: ${black}.`);
  else if (share && 'number' in share) shareBlackPercent = share.number;
  else if (share) {
    const options = [
      { key: 'share', name: `${Math.round(share.doubt * 1000) / 10} %` },
      { key: 'percent', name: `${share.doubt} %` },
    ];
    const chosen = questions.ask(
      `black:${black}`,
      `Share black ${black}: how much is it?`,
      options,
    );
    if (chosen) shareBlackPercent = chosen === 'share' ? share.doubt * 100 : share.doubt;
  } else if (black !== '') {
    const text = `Share black "${black}" is not a number from 0 to 100.`;
    if (questions.ask(`black:${plainWord(black)}`, text, [blankOption]))
      unread.push(`Share black as written: ${black}.`);
  }
  const written = cells.acres.trim();
  if (written !== '') {
    areaAcres = readAcres(written);
    const text = `Acres "${written}" is not a number above zero.`;
    if (areaAcres === null && questions.ask(`acres:${plainWord(written)}`, text, [blankOption]))
      unread.push(`Acres as written: ${written}.`);
  }
  return { shareBlackPercent, areaAcres, unread, isShareNoted: black !== '' };
}

function dateWords({ date, precision }: HistoryDate): string {
  if (precision === 'year') return `some day in ${yearOf(date)}`;
  const month = `${monthNames[monthOf(date) - 1]} ${yearOf(date)}`;
  return precision === 'month' ? `some day in ${month}` : `${Number(date.slice(8))} ${month}`;
}

function meaningOf(
  unit: Unit | null,
  when: HistoryDate | null,
  work: Work,
  cause: WorkEntry['fireCause'],
  amounts: ReturnType<typeof amountsOf>,
): string {
  const fire = cause ? causeNames[cause] : 'fire, cause not noted';
  const kind = work.treatment?.name ?? '';
  let what = kind === '' ? 'work to be named' : kind;
  if (work.isFire) what = kind === '' ? fire : `${fire} (${kind.toLowerCase()})`;
  const parts = [what, when ? dateWords(when) : 'date to be settled'];
  if (amounts.shareBlackPercent !== null)
    parts.push(`${Math.round(amounts.shareBlackPercent * 10) / 10} % black`);
  else if (work.isFire && !amounts.isShareNoted)
    parts.push('share black not noted, counts as whole');
  if (amounts.areaAcres !== null) parts.push(`${amounts.areaAcres} acres`);
  return `${unit?.code ?? 'Unit to be named'}: ${parts.join(', ')}`;
}

/** The one that this may be a second record of: same unit and work, days that may be the same. */
function twinAmong<E extends HistoryEntry>(
  entry: HistoryEntry,
  others: readonly E[],
  isFire: (treatmentKey: string) => boolean,
): { twin: E; isSame: boolean } | null {
  const span = spanOf({ date: entry.doneOn, precision: entry.precision });
  const twins = others.filter((other) => {
    const isKind =
      other.treatmentKey === entry.treatmentKey ||
      (isFire(other.treatmentKey) && isFire(entry.treatmentKey));
    const own = spanOf({ date: other.doneOn, precision: other.precision });
    const meets = own.startsOn < span.endsBefore && span.startsOn < own.endsBefore;
    return other.unitId === entry.unitId && other.outcome !== 'not-possible' && isKind && meets;
  });
  const same = twins.find(
    (other) => other.doneOn === entry.doneOn && other.precision === entry.precision,
  );
  const twin = same ?? twins[0];
  return twin ? { twin, isSame: same !== undefined } : null;
}

function entryOf(
  cells: HistoryCells,
  place: { unit: Unit; treatment: Treatment; when: HistoryDate },
  facts: Pick<HistoryEntry, 'areaAcres' | 'shareBlackPercent' | 'fireCause'> & { unread: string[] },
  today: IsoDate,
): HistoryEntry {
  const { date, precision, isDoubtful } = place.when;
  const doubt = isDoubtful ? [`Date as written: ${cells.date.trim()}.`] : [];
  const isBurn = place.treatment.family === 'burn';
  return {
    unitId: place.unit.id,
    treatmentKey: place.treatment.key,
    taskKey: null,
    startedOn: null,
    doneOn: date,
    precision,
    outcome: 'done',
    reason: '',
    areaAcres: facts.areaAcres,
    crewDays: null,
    personHours: null,
    shareBlackPercent: facts.shareBlackPercent,
    fireCause: facts.fireCause,
    signedOutOn: isBurn && daysBetween(date, today) > watchDaysMost ? date : null,
    note: [cells.note.trim(), ...doubt, ...facts.unread].filter((part) => part !== '').join(' '),
  };
}

interface Taken {
  entry: HistoryEntry;
  line: number;
}

/** Asks about an entry that is there already, on file or higher up in the file. */
function askTwins(
  cells: HistoryCells,
  entry: HistoryEntry,
  taken: readonly Taken[],
  { operation }: Context,
  questions: RowQuestions,
): void {
  const fires = new Set(
    operation.treatments.filter(({ family }) => family === 'burn').map(({ key }) => key),
  );
  const isFire = (key: string) => fires.has(key);
  const key = `twice:${cells.line}.${cells.part}`;
  const options = [{ key: 'take', name: 'take it in: it is another one' }];
  const onFile = twinAmong(entry, operation.entries, isFire);
  const words = (twin: HistoryEntry) =>
    dateWords({ date: twin.doneOn, precision: twin.precision, isDoubtful: false });
  if (onFile) {
    const text = onFile.isSame
      ? `The work log has it already (${words(onFile.twin)}).`
      : `The work log has one that may be the same (${words(onFile.twin)}).`;
    questions.ask(key, text, options, onFile.isSame ? leaveOut : '');
    return;
  }
  const rows = taken.map((one) => ({ ...one.entry, line: one.line }));
  const inFile = twinAmong(entry, rows, isFire);
  if (inFile)
    questions.ask(key, `It may be the same as row ${inFile.twin.line} of this file.`, options);
}

function readRow(cells: HistoryCells, taken: readonly Taken[], context: Context): HistoryRow {
  const questions = new RowQuestions(context.choices);
  const unit = unitOf(cells, context, questions);
  const when = dateOf(cells, context, questions);
  const { properties } = context.operation;
  const property = properties.find((one) => one.id === unit?.propertyId) ?? properties[0];
  const work = workOf(cells, when, property, context, questions);
  const fireCause = causeOf(cells, work, questions);
  const amounts = amountsOf(cells, work, questions);
  const isWhole = unit !== null && when !== null && work.treatment !== null;
  let entry: HistoryEntry | null = null;
  if (isWhole && !questions.isOpen && !questions.isLeftOut) {
    const place = { unit, when, treatment: work.treatment! };
    entry = entryOf(cells, place, { ...amounts, fireCause }, context.today);
    askTwins(cells, entry, taken, context, questions);
  }
  let state: HistoryRow['state'] = 'clear';
  if (questions.isLeftOut) state = 'left-out';
  else if (questions.isOpen || entry === null) state = 'unclear';
  const { list } = questions;
  const isShown = (one: HistoryQuestion) =>
    state === 'left-out' ? one.chosen === leaveOut : one.chosen === '';
  return {
    line: cells.line,
    part: cells.part,
    meaning: meaningOf(unit, when, work, fireCause, amounts),
    state,
    why:
      state === 'clear'
        ? ''
        : list
            .filter(isShown)
            .map((one) => one.text)
            .join(' '),
    questions: list,
    entry: state === 'clear' ? entry : null,
  };
}

/**
 * What each row of a table of old fires and work means, with the answers given so far. Nothing is guessed: a row
 * with an open question is unclear and has no entry.
 */
export function readHistory(
  rows: readonly HistoryCells[],
  operation: Operation,
  propertyId: number | null,
  today: IsoDate,
  choices: HistoryChoices,
): HistoryRow[] {
  const units = operation.units.filter(
    (unit) => propertyId === null || unit.propertyId === propertyId,
  );
  const context: Context = { operation, units, today, choices };
  const taken: Taken[] = [];
  return rows.map((cells) => {
    const row = readRow(cells, taken, context);
    if (row.entry) taken.push({ entry: row.entry, line: row.line });
    return row;
  });
}
