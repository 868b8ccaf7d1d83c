import { addDays, fromDay, type IsoDate, isLeapYear, toDay, yearOf } from '../dates.ts';
import { type BurnClaim, compareClaims } from './burn-order.ts';
import { type Chance, chanceOf, percentile } from './chance.ts';
import { type DayHours, dayHoursDefault } from './day-programme.ts';

/** Fit hours in a row of each past day for one burn; index 0 = `firstDay` (a day number). */
export interface FitHours {
  firstDay: number;
  /** 0 = not fit; `unknownDay` = not known, which is never fit. */
  hours: Uint8Array;
}

/** Days of the year that any burn may fall on, by `monthDayIndex`; 1 = asked for. */
export type AskedDays = Uint8Array;
export const monthDayCount = 13 * 32;

/** Place of a month and day in `AskedDays`. */
export function monthDayIndex(date: IsoDate): number {
  return Number(date.slice(5, 7)) * 32 + Number(date.slice(8, 10));
}

/** Marks a day whose weather is not known. */
export const unknownDay = 255;

/** Days of the plan in which a burn may be lit, in one trial: first and last day numbers. */
export interface TrialSpan {
  from: number;
  to: number;
}

/** A burn of the plan as the test sees it. */
export interface PastBurn {
  key: string;
  propertyId: number;
  /** Blocks with the same place may share a set-up on one day. */
  nearKey: string;
  unitIds: number[];
  areaAcres: number;
  peopleLeast: number;
  gearKeys: string[];
  /** Fit days it takes; more than 1 when its hours are more than a day gives. */
  daysNeeded: number;
  lightHours: number;
  isOverdue: boolean;
  /** Day number on which the plan wants it first. */
  plannedFrom: number;
  /** First day on which everything before it is done; day number. */
  readyFrom: number;
  /** Its window in each trial, as days of the plan; null = never opens. */
  windows: (TrialSpan | null)[];
  fit: FitHours;
}

/** What a day of the plan has to burn with. */
export interface DayPeople {
  people: number;
  bosses: number;
}

export interface PastYearsInput {
  burns: PastBurn[];
  /** First day of the plan and the day after its last, day numbers. */
  from: number;
  until: number;
  /** First day of the burning season that holds `from`, day number. */
  seasonStart: number;
  /** Whole burning seasons of the history, by the year they start in, in order. */
  seasons: number[];
  /** Index 0 = `from`. */
  people: DayPeople[];
  gearCount: Record<string, number>;
  /** Days on which a gear is off, day numbers. */
  gearOff: Record<string, Set<number>>;
  /** Share of fit days really used, 0 to 1. */
  usedShare: number;
  seed: number;
  dayHours?: DayHours;
}

export type HeldBack =
  | 'weather'
  | 'unknown'
  | 'not-ready'
  | 'people'
  | 'share'
  | 'other-burns'
  | 'window';

/** Mean days a year inside a burn's window, each stage a part of the one before. */
export interface DayStages {
  window: number;
  ready: number;
  fit: number;
  people: number;
  used: number;
}

export interface BurnResult {
  key: string;
  chance: Chance;
  /** Median day over the trials in which it was done; null = never. */
  medianOn: IsoDate | null;
  /** Day by trial, null = not done. */
  doneOn: (IsoDate | null)[];
  /** What held it back most often where it was not done; null = done every time. */
  heldBack: { cause: HeldBack; times: number } | null;
  stages: DayStages;
}

export interface PastYearsRun {
  trials: number;
  burns: BurnResult[];
}

/**
 * The past day whose weather stands in for a day of the plan. Trial `t` lays the burning seasons of the history over
 * those of the plan one after another, beginning with the `t`th and going on from the first after the last, so a
 * season stays in one piece. 29 February takes the 28th where the past year has none.
 */
export function pastDayOf(
  input: Pick<PastYearsInput, 'seasonStart' | 'seasons'>,
  trial: number,
  day: number,
): number {
  const startsOn = fromDay(input.seasonStart);
  let date = fromDay(day);
  const monthDay = startsOn.slice(5);
  const season = date.slice(5) >= monthDay ? yearOf(date) : yearOf(date) - 1;
  const { seasons } = input;
  const turn = (trial + season - yearOf(startsOn)) % seasons.length;
  const past = seasons.at(turn) as number;
  const year = past + (yearOf(date) - season);
  if (date.endsWith('-02-29') && !isLeapYear(year)) date = addDays(date, -1);
  return toDay(`${year}${date.slice(4)}` as IsoDate);
}

/** A number from 0 to 1 that hangs on two whole numbers only (integer hash, public domain, after Wang). */
function drawOf(seed: number, at: number): number {
  let mixed = Math.imul(at ^ 0x9e3779b9, 0x85ebca6b) ^ Math.imul(seed + 1, 0xc2b2ae35);
  mixed = Math.imul(mixed ^ (mixed >>> 15), 0x2c1b3c6d);
  mixed = Math.imul(mixed ^ (mixed >>> 12), 0x297a2d39);
  return ((mixed ^ (mixed >>> 15)) >>> 0) / 4294967296;
}

/** Days that are kept or lost together: about as long as a spell of fit days. */
const spellDays = 3;

/**
 * Whether the people really go on a past day, if it is fit. Three days in a row are kept or lost together, by a draw
 * that hangs on the seed and the date alone: what keeps people from going (a ban, smoke, somebody ill) lasts days, and
 * a larger share keeps every day that a smaller one kept.
 */
export function isDayUsed(pastDay: number, share: number, seed: number): boolean {
  return share >= 1 || drawOf(seed, Math.floor(pastDay / spellDays)) < share;
}

interface Walk {
  input: PastYearsInput;
  trial: number;
  /** Past day by plan day; index 0 = `from`. */
  pastDays: Int32Array;
  isUsed: Uint8Array;
}

function fitHoursOn(burn: PastBurn, pastDay: number): number {
  return burn.fit.hours[pastDay - burn.fit.firstDay] ?? unknownDay;
}

function walkOf(input: PastYearsInput, trial: number): Walk {
  const pastDays = Int32Array.from({ length: input.until - input.from }, (_, index) =>
    pastDayOf(input, trial, input.from + index),
  );
  const isUsed = Uint8Array.from(pastDays, (day) =>
    Number(isDayUsed(day, input.usedShare, input.seed)),
  );
  return { input, trial, pastDays, isUsed };
}

interface StageCount extends DayStages {
  unknown: number;
}

function stagesOf(walk: Walk, burn: PastBurn): StageCount {
  const { input } = walk;
  const count: StageCount = { window: 0, ready: 0, fit: 0, people: 0, used: 0, unknown: 0 };
  const span = burn.windows[walk.trial];
  if (!span) return count;
  for (
    let day = Math.max(span.from, input.from);
    day <= Math.min(span.to, input.until - 1);
    day++
  ) {
    count.window += 1;
    if (day < burn.readyFrom) continue;
    count.ready += 1;
    const index = day - input.from;
    const hours = fitHoursOn(burn, walk.pastDays[index] as number);
    if (hours === unknownDay) count.unknown += 1;
    if (hours === 0 || hours === unknownDay) continue;
    count.fit += 1;
    if (!isStaffed(input, burn, index)) continue;
    count.people += 1;
    count.used += walk.isUsed[index] as number;
  }
  return count;
}

function isStaffed(input: PastYearsInput, burn: PastBurn, index: number): boolean {
  const there = input.people[index];
  const day = input.from + index;
  return (
    there !== undefined &&
    there.bosses > 0 &&
    there.people >= burn.peopleLeast &&
    burn.gearKeys.every((key) => hasGear(input, key, day))
  );
}

function hasGear(input: PastYearsInput, key: string, day: number): boolean {
  return (input.gearCount[key] ?? 0) > 0 && !input.gearOff[key]?.has(day);
}

/** The stage that left too few days. */
function causeOf(count: StageCount, daysNeeded: number): HeldBack {
  if (count.window < daysNeeded) return 'window';
  if (count.ready < daysNeeded) return 'not-ready';
  if (count.fit < daysNeeded)
    return count.fit + count.unknown >= daysNeeded ? 'unknown' : 'weather';
  if (count.people < daysNeeded) return 'people';
  return count.used < daysNeeded ? 'share' : 'other-burns';
}

/** A burn that is still open in a trial. */
interface Open {
  burn: PastBurn;
  index: number;
  span: TrialSpan;
  daysLeft: number;
  claim: BurnClaim;
}

function openBurns(input: PastYearsInput, trial: number, rarity: readonly number[]): Open[] {
  return input.burns.flatMap((burn, index): Open[] => {
    const span = burn.windows[trial];
    if (!span) return [];
    const claim: BurnClaim = {
      key: burn.key,
      fitDaysASeason: rarity[index] ?? null,
      closesInDays: null,
      isOverdue: burn.isOverdue,
      missingCount: 0,
      hasBlackNeighbour: false,
      plannedFrom: burn.plannedFrom,
    };
    const from = Math.max(span.from, burn.readyFrom);
    return [{ burn, index, span: { from, to: span.to }, daysLeft: burn.daysNeeded, claim }];
  });
}

/** What a day has left while its burns are given out. */
interface DayLeft {
  people: number;
  bosses: number;
  gear: Map<string, number>;
}

/** The burns of a day: each boss leads one programme, one fire at a time; near blocks follow inside the fit hours. */
function burnsOfDay(
  input: PastYearsInput,
  waiting: readonly Open[],
  pastDay: number,
  index: number,
): Open[] {
  const there = input.people[index];
  if (!there) return [];
  const left: DayLeft = { ...there, gear: new Map() };
  const hours = input.dayHours ?? dayHoursDefault;
  const lit: Open[] = [];
  for (const first of waiting) {
    if (left.bosses === 0) break;
    if (lit.includes(first) || !takes(input, left, first.burn, index)) continue;
    lit.push(first);
    let clock = Math.min(first.burn.lightHours, fitHoursOn(first.burn, pastDay));
    for (const next of waiting) {
      if (lit.includes(next) || next.burn.nearKey !== first.burn.nearKey) continue;
      if (next.burn.daysNeeded > 1 || next.burn.peopleLeast > there.people) continue;
      const until = clock + hours.secure + hours.move + next.burn.lightHours;
      if (until > fitHoursOn(next.burn, pastDay)) continue;
      lit.push(next);
      clock = until;
    }
  }
  return lit;
}

/** Takes people, a boss and gear for a programme, if they are left. */
function takes(input: PastYearsInput, left: DayLeft, burn: PastBurn, index: number): boolean {
  const day = input.from + index;
  const gearLeft = (key: string) =>
    hasGear(input, key, day) ? (left.gear.get(key) ?? input.gearCount[key] ?? 0) : 0;
  if (left.people < burn.peopleLeast || burn.gearKeys.some((key) => gearLeft(key) < 1))
    return false;
  for (const key of burn.gearKeys) left.gear.set(key, gearLeft(key) - 1);
  left.people -= burn.peopleLeast;
  left.bosses -= 1;
  return true;
}

/** Day of the plan on which each burn was finished in a trial, -1 = not. */
function walkTrial(walk: Walk, rarity: readonly number[]): Int32Array {
  const { input } = walk;
  const doneOn = new Int32Array(input.burns.length).fill(-1);
  let open = openBurns(input, walk.trial, rarity);
  const order = (day: number) => {
    for (const one of open) one.claim.closesInDays = one.span.to - day;
    open.sort((a, b) => compareClaims(a.claim, b.claim));
  };
  for (let index = 0; index < walk.pastDays.length && open.length > 0; index++) {
    const day = input.from + index;
    const there = input.people[index];
    if (!there || there.bosses === 0 || !walk.isUsed[index]) continue;
    const pastDay = walk.pastDays[index] as number;
    const isWaiting = ({ burn, span }: Open) => {
      if (day < span.from || day > span.to || !isStaffed(input, burn, index)) return false;
      const hours = fitHoursOn(burn, pastDay);
      return hours > 0 && hours !== unknownDay;
    };
    if (!open.some(isWaiting)) continue;
    order(day);
    for (const one of burnsOfDay(input, open.filter(isWaiting), pastDay, index)) {
      one.daysLeft -= 1;
      if (one.daysLeft === 0) doneOn[one.index] = day;
    }
    open = open.filter((one) => one.daysLeft > 0 && one.span.to > day);
  }
  return doneOn;
}

function resultOf(
  burn: PastBurn,
  index: number,
  doneOn: readonly Int32Array[],
  counts: readonly StageCount[],
): BurnResult {
  const days = doneOn.map((trial) => trial[index] ?? -1);
  const done = days.filter((day) => day >= 0);
  const causes = new Map<HeldBack, number>();
  days.forEach((day, trial) => {
    if (day >= 0) return;
    const cause = causeOf(counts[trial] as StageCount, burn.daysNeeded);
    causes.set(cause, (causes.get(cause) ?? 0) + 1);
  });
  const [worst] = [...causes].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1));
  const mean = (stage: keyof DayStages) =>
    counts.reduce((sum, count) => sum + count[stage], 0) / Math.max(1, counts.length);
  return {
    key: burn.key,
    chance: chanceOf(done.length, days.length),
    medianOn: done.length > 0 ? fromDay(percentile(done, 0.5)) : null,
    doneOn: days.map((day) => (day >= 0 ? fromDay(day) : null)),
    heldBack: worst ? { cause: worst[0], times: worst[1] } : null,
    stages: {
      window: mean('window'),
      ready: mean('ready'),
      fit: mean('fit'),
      people: mean('people'),
      used: mean('used'),
    },
  };
}

/**
 * The plan walked day by day through the seasons of the history, as many trials as there are seasons. On each day that
 * the people use, what is fit, ready and open is given out in the order of `compareClaims`; the rest waits inside its
 * window. The same input gives the same answer. Method: `replay of past years` with whole seasons as blocks, since fit
 * days cluster and independent days promise too much.
 */
export function runPastYears(input: PastYearsInput): PastYearsRun {
  const trials = input.seasons.map((_, trial) => walkOf(input, trial));
  const counts = input.burns.map((burn) => trials.map((walk) => stagesOf(walk, burn)));
  const rarity = counts.map(
    (of) => of.reduce((sum, count) => sum + count.fit, 0) / Math.max(1, of.length),
  );
  const doneOn = trials.map((walk) => walkTrial(walk, rarity));
  return {
    trials: trials.length,
    burns: input.burns.map((burn, index) =>
      resultOf(burn, index, doneOn, counts[index] as StageCount[]),
    ),
  };
}
