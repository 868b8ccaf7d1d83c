import { chosenTreatmentOf } from '../burn-papers.ts';
import type { Crew } from '../crews.ts';
import { type DateRange, fromDay, type IsoDate, rangeHolds, subtract, toDay } from '../dates.ts';
import type { Operation } from '../operation.ts';
import { treatmentOn } from '../own-rates.ts';
import { workNeed } from '../rates.ts';
import { rotationOf } from '../rotation.ts';
import { barredRanges, noWorkThatApplies } from '../season/no-work.ts';
import { windowOpenings } from '../seasons.ts';
import type { Treatment } from '../treatments.ts';
import type { LandJob } from './land-jobs.ts';
import {
  crewDaysIn,
  firstDayOfPool,
  type LandWeeks,
  poolDays,
  poolOfDay,
  weekOfDay,
} from './land-weeks.ts';

/** One way to do a job: with which treatment and which crews. */
export interface LandMode {
  treatment: Treatment;
  crews: Crew[];
  /** Tenths of a crew day that each crew works on it. */
  tenths: number;
  /** Another treatment than the wished one. */
  isAlternative: boolean;
}

/** One placing of a job: a mode, a start week and the share of each week. */
export interface LandOption {
  mode: LandMode;
  /** The stretch of open days it lies in: one window opening, less no-work dates. */
  open: DateRange;
  shares: { week: number; tenths: number }[];
  /** First and last day that the work can fall on, as day numbers; lags count from these. */
  fromDay: number;
  toDay: number;
  /** The soonest day that the last of the work can fall on, and the latest that the first of it can. */
  soonestEndDay: number;
  latestStartDay: number;
}

/** Open stretches of a job's treatment: each opening of its windows, less the no-work dates of its units. */
export function openStretches(
  operation: Operation,
  job: LandJob,
  treatment: Treatment,
  span: DateRange,
): DateRange[] {
  const { anchors } = job.property;
  const barred = job.units.flatMap((unit) =>
    operation.noWork
      .filter((one) => noWorkThatApplies(one, { property: job.property, unit, treatment }))
      .flatMap((one) => {
        const ranges = barredRanges(one, span, anchors);
        if (one.firmness === 'hard') return ranges;
        const lifted = operation.approvals
          .filter((row) => row.noWorkKey === one.key && row.unitId === unit.id)
          .map((row) => ({ startsOn: row.from, endsBefore: fromDay(toDay(row.until) + 1) }));
        return subtract(ranges, lifted);
      }),
  );
  return treatment.windows
    .flatMap((window) => windowOpenings(window, span, anchors))
    .flatMap((opening) => subtract([opening], barred))
    .flatMap((range) => clip(range, span))
    .sort((a, b) => (a.startsOn < b.startsOn ? -1 : 1));
}

function clip(range: DateRange, span: DateRange): DateRange[] {
  const startsOn = range.startsOn > span.startsOn ? range.startsOn : span.startsOn;
  const endsBefore = range.endsBefore < span.endsBefore ? range.endsBefore : span.endsBefore;
  return startsOn < endsBefore ? [{ startsOn, endsBefore }] : [];
}

/** Smallest sets of crews that have the skills and together enough people; help crews join only for burns. */
export function crewSets(
  operation: Operation,
  treatment: Treatment,
  peopleLeast: number,
): Crew[][] {
  const isBurn = treatment.family === 'burn';
  const able = operation.crews.filter(
    (crew) =>
      treatment.skills.every((skill) => crew.skills.includes(skill)) &&
      (isBurn ? crew.kind !== 'contract' : crew.kind !== 'help'),
  );
  const singles = able.filter((crew) => crew.peopleCount >= peopleLeast).map((crew) => [crew]);
  if (!isBurn) return singles;
  const enough = (crews: Crew[]) =>
    crews.reduce((sum, crew) => sum + crew.peopleCount, 0) >= peopleLeast;
  const short = able.filter((crew) => crew.peopleCount < peopleLeast);
  const pairs = short
    .flatMap((a, i) => short.slice(i + 1).map((b) => [a, b]))
    .filter((pair) => enough(pair));
  if (singles.length + pairs.length > 0) return [...singles, ...pairs];
  return enough(short) && short.length > 2 ? [short] : [];
}

/** Which of a job's treatments is wished: the default, and on every so many burns of the rotation the late-season one. */
function wishedIndex(operation: Operation, { block, identity, treatments }: LandJob): number {
  const lateEvery = rotationOf(operation, block)?.lateEvery ?? null;
  const isLateTurn =
    lateEvery !== null && treatments[1]?.family === 'burn' && identity.cycle % lateEvery === 0;
  return isLateTurn ? 1 : 0;
}

/**
 * Ways to do a job, the default treatment first, home crews before contract crews. A treatment that people chose for
 * this burn is the only one.
 */
export function landModes(operation: Operation, job: LandJob): LandMode[] {
  const { identity, treatments } = job;
  const treatmentKeys = treatments.map(({ key }) => key);
  const chosen = chosenTreatmentOf(operation, { ...identity, treatmentKeys });
  const wished = chosen === null ? wishedIndex(operation, job) : treatmentKeys.indexOf(chosen);
  return treatments.flatMap((treatment, index) => {
    if (chosen !== null && treatment.key !== chosen) return [];
    const isBurn = treatment.family === 'burn';
    const peopleLeast = isBurn
      ? Math.max(treatment.peopleLeast, job.block.burnPeopleLeast)
      : treatment.peopleLeast;
    return crewSets(operation, treatment, peopleLeast)
      .sort((a, b) => crewRank(a) - crewRank(b))
      .map((crews) => ({
        treatment,
        crews,
        tenths: isBurn ? 10 : tenthsOf(operation, job, treatment, crews[0] as Crew),
        isAlternative: index !== wished,
      }));
  });
}

const crewRank = (crews: Crew[]) => (crews.some((crew) => crew.kind === 'contract') ? 1 : 0);

/** Tenths of a crew day by rate; work without a size (acres not entered yet) takes the least that counts, half a day. */
function tenthsOf(operation: Operation, job: LandJob, treatment: Treatment, crew: Crew): number {
  const need = workNeed(treatmentOn(operation, treatment, job.units[0]), {
    areaAcres: job.areaAcres,
    lineFeet: job.lineFeet,
    densityClass: job.units[0]?.densityClass ?? null,
    crewPeople: crew.peopleCount,
  });
  return Math.max(5, need);
}

/** Tenths a week that a crew gives to one job: spread work leaves room for burn days beside it. */
function pace(mode: LandMode): number {
  const crew = mode.crews[0] as Crew;
  return mode.treatment.duration === 'spread' && crew.kind === 'home'
    ? crew.spreadDaysPerWeek * 10
    : 70;
}

/** Days of a week that every crew of the mode works and all its gear can be had, inside the range. */
export function commonDays(
  weeks: LandWeeks,
  mode: LandMode,
  week: number,
  range: DateRange,
): number[] {
  const [first, ...others] = mode.crews;
  let days = first ? crewDaysIn(weeks, first.id, week, range) : [];
  for (const crew of others) {
    const own = new Set(crewDaysIn(weeks, crew.id, week, range));
    days = days.filter((day) => own.has(day));
  }
  const gearOff = mode.treatment.gear.flatMap((key) => weeks.gearOff.get(key) ?? []);
  return gearOff.length === 0
    ? days
    : days.filter((day) => !gearOff.some((off) => rangeHolds(off, fromDay(day))));
}

function spreadOption(
  weeks: LandWeeks,
  mode: LandMode,
  open: DateRange,
  startWeek: number,
): LandOption | null {
  const lastWeek = Math.min(weeks.weekCount - 1, weekOfDay(weeks, toDay(open.endsBefore) - 1));
  const shares: LandOption['shares'] = [];
  let left = mode.tenths;
  let fromDay = -1;
  let latestStartDay = -1;
  for (let week = startWeek; week <= lastWeek; week++) {
    const days = commonDays(weeks, mode, week, open);
    if (days.length === 0) {
      if (week === startWeek) return null;
      continue;
    }
    const share = Math.min(left, pace(mode), days.length * 10);
    if (fromDay < 0) {
      fromDay = days[0] as number;
      latestStartDay = days[days.length - Math.max(1, Math.ceil(share / 10))] as number;
    }
    shares.push({ week, tenths: share });
    left -= share;
    if (left <= 0) {
      const soonestEndDay = days[Math.ceil(share / 10) - 1] as number;
      const toDay = days.at(-1) as number;
      return { mode, open, shares, fromDay, toDay, soonestEndDay, latestStartDay };
    }
  }
  return null;
}

/** A burn waits inside the open days of its two-week span; one day of one of the weeks is kept for it. */
function burnOption(
  weeks: LandWeeks,
  mode: LandMode,
  open: DateRange,
  week: number,
): LandOption | null {
  if (commonDays(weeks, mode, week, open).length === 0) return null;
  const span = burnSpan(weeks, open, week);
  return {
    mode,
    open,
    shares: [{ week, tenths: mode.tenths }],
    fromDay: toDay(span.startsOn),
    toDay: toDay(span.endsBefore) - 1,
    soonestEndDay: toDay(span.startsOn),
    latestStartDay: toDay(span.endsBefore) - 1,
  };
}

/** The open days of the two-week span that holds a week. */
export function burnSpan(weeks: LandWeeks, open: DateRange, week: number): DateRange {
  const start = firstDayOfPool(poolOfDay(weeks.firstDay + week * 7));
  const from = Math.max(start, toDay(open.startsOn));
  const to = Math.min(start + poolDays, toDay(open.endsBefore));
  return { startsOn: fromDay(from), endsBefore: fromDay(to) };
}

/** Every placing of a job in the horizon, by start week. */
export function landOptions(
  operation: Operation,
  weeks: LandWeeks,
  job: LandJob,
  modes: LandMode[],
  span: DateRange,
): LandOption[] {
  const options: LandOption[] = [];
  const stretches = new Map<string, DateRange[]>();
  for (const mode of modes) {
    const { key } = mode.treatment;
    const open = stretches.get(key) ?? openStretches(operation, job, mode.treatment, span);
    stretches.set(key, open);
    const make = mode.treatment.family === 'burn' ? burnOption : spreadOption;
    for (const stretch of open) {
      const first = weekOfDay(weeks, toDay(stretch.startsOn));
      const last = weekOfDay(weeks, toDay(stretch.endsBefore) - 1);
      for (let week = Math.max(0, first); week <= Math.min(last, weeks.weekCount - 1); week++) {
        const option = make(weeks, mode, stretch, week);
        if (option) options.push(option);
      }
    }
  }
  return options.sort((a, b) => a.fromDay - b.fromDay || a.toDay - b.toDay);
}

/** Most tenths of a job that fit in its roomiest open stretch, over all modes; 0 = none. */
function roomTenths(weeks: LandWeeks, mode: LandMode, stretches: DateRange[]): number {
  let most = 0;
  for (const open of stretches) {
    let room = 0;
    const last = Math.min(weeks.weekCount - 1, weekOfDay(weeks, toDay(open.endsBefore) - 1));
    for (let week = weekOfDay(weeks, toDay(open.startsOn)); week <= last; week++)
      room += Math.min(pace(mode), 10 * commonDays(weeks, mode, week, open).length);
    most = Math.max(most, room);
  }
  return most;
}

/** Most pieces that one job is split into. */
const piecesMost = 8;

/** Pieces that work larger than its largest window is split into, by acres; 1 = not split, or no room at all. */
export function pieceCount(
  operation: Operation,
  weeks: LandWeeks,
  job: LandJob,
  modes: LandMode[],
  span: DateRange,
): number {
  let fewest = Number.POSITIVE_INFINITY;
  for (const mode of modes) {
    if (mode.treatment.family === 'burn') return 1;
    const room = roomTenths(weeks, mode, openStretches(operation, job, mode.treatment, span));
    if (room > 0) fewest = Math.min(fewest, Math.ceil(mode.tenths / room));
  }
  return fewest === Number.POSITIVE_INFINITY ? 1 : Math.min(fewest, piecesMost);
}

/** Last day of the first open stretch that ends on or after `from`, or null. */
export function firstClose(stretches: readonly DateRange[], from: IsoDate): IsoDate | null {
  const stretch = stretches.find((range) => range.endsBefore > from);
  return stretch ? fromDay(toDay(stretch.endsBefore) - 1) : null;
}
