import { isTaskOfStep } from '../chains.ts';
import {
  addDays,
  fromDay,
  type IsoDate,
  isoDate,
  lastDayOf,
  rangeHolds,
  toDay,
  weekday,
  yearOf,
} from '../dates.ts';
import { earliestAfter, lagCalendarOf } from '../lags.ts';
import { isCrewOnHand } from '../load.ts';
import type { Operation } from '../operation.ts';
import type { PlanContent } from '../plans.ts';
import type { Property } from '../properties.ts';
import { fireStatus, lastFireThatCounts, overdueAfter, rotationOf } from '../rotation.ts';
import { type LandJob, landJobs } from '../schedule/land-jobs.ts';
import { openStretches } from '../schedule/land-options.ts';
import { burningSeasonOf, burningSeasonStart } from '../seasons.ts';
import { type PlannedTask, prescriptionKeyOf } from '../tasks.ts';
import type { Treatment } from '../treatments.ts';
import { percentile } from './chance.ts';
import {
  type AskedDays,
  type BurnResult,
  type DayPeople,
  type FitHours,
  monthDayCount,
  monthDayIndex,
  type PastBurn,
  type PastYearsInput,
  type PastYearsRun,
  pastDayOf,
  runPastYears,
  type TrialSpan,
} from './past-years.ts';

/** What the test needs from the weather history and the block, beside the land and the plan. */
export interface PastWeather {
  /** Station the days are from. */
  station: { name: string; isInvented: boolean };
  /** Whole burning seasons with weather, by the year they start in. */
  seasons: number[];
  /** Fit hours of past days for a block under a prescription, in steps: counting them takes its time. */
  fitOf(blockId: number, prescriptionKey: string, asked: AskedDays): Generator<void, FitHours>;
  /** Hours of lighting that a block takes, and the fit days it needs. */
  sizeOf(blockId: number, prescriptionKey: string): { lightHours: number; daysNeeded: number };
  /** Computed leaf-out of a past year at a property; null = not computed, its usual date holds. */
  leafOutOf(propertyId: number, year: number): IsoDate | null;
}

/** Low, middle and high over the trials: one in ten, half, nine in ten. */
export interface Spread {
  p10: number;
  median: number;
  p90: number;
}

export interface PropertyResult {
  propertyId: number;
  seasons: { season: number; plannedAcres: number; acres: Spread }[];
  /** Units overdue for fire when the plan ends. */
  overdueUnits: Spread;
  unitCount: number;
}

/** One change tried on the weakest burn: its count before and after. */
export interface TriedChange {
  kind: 'late-season' | 'weekends' | 'used-share' | 'earlier-line';
  done: number;
  /** All burns done over all trials, before and after. */
  doneOfAll: number;
}

export interface PastYearsResult {
  station: { name: string; isInvented: boolean };
  trials: number;
  fromSeason: number;
  toSeason: number;
  seed: number;
  usedShare: number;
  burns: BurnResult[];
  properties: PropertyResult[];
  /** The burn done least often and what lifts it, best first; null when every burn is done every year. */
  weakest: { key: string; done: number; doneOfAll: number; changes: TriedChange[] } | null;
}

/** Days earlier that the line work is tried, and how much more of the fit days is used. */
export const lineDaysEarlier = 30;
export const usedShareMore = 0.2;

interface BurnTask {
  task: PlannedTask;
  job: LandJob;
  treatment: Treatment;
}

interface Setting {
  operation: Operation;
  plan: PlanContent;
  weather: PastWeather;
  from: number;
  until: number;
  seasonStart: number;
  /** Days of the year that burns of a prescription may fall on. */
  asked: Map<string, AskedDays>;
}

function burnTasks(operation: Operation, plan: PlanContent): BurnTask[] {
  const jobs = new Map(
    landJobs(operation, plan.horizon).jobs.map((job) => [job.identity.key, job]),
  );
  return plan.tasks
    .filter((task) => task.isWhenFit)
    .flatMap((task): BurnTask[] => {
      const job = jobs.get(task.key);
      const treatment = operation.treatments.find((one) => one.key === task.treatmentKey);
      return job && treatment ? [{ task, job, treatment }] : [];
    })
    .sort((a, b) => (a.task.startsOn < b.task.startsOn ? -1 : 1));
}

/** The property with the leaf-out of each past year laid into the years of the plan. */
function propertyIn(setting: Setting, property: Property, trial: number): Property {
  const { weather, from, until, seasonStart } = setting;
  const years = Array.from(
    { length: yearOf(fromDay(until)) - yearOf(fromDay(from)) + 1 },
    (_, index) => yearOf(fromDay(from)) + index,
  );
  const computed = years.flatMap((year) => {
    const mayDay = toDay(isoDate(`${year}-05-01`));
    const pastYear = yearOf(
      fromDay(pastDayOf({ seasonStart, seasons: weather.seasons }, trial, mayDay)),
    );
    const date = weather.leafOutOf(property.id, pastYear);
    if (!date) return [];
    // Day of the year is kept, so a leap year moves nothing by more than a day.
    const day = toDay(date) - toDay(isoDate(`${pastYear}-01-01`));
    const moved = addDays(isoDate(`${year}-01-01`), day);
    return [{ anchor: 'leaf-out' as const, year, date: moved, how: 'computed' as const }];
  });
  const byYear = property.anchors.byYear.filter(
    (row) => row.anchor !== 'leaf-out' || !computed.some((one) => one.year === row.year),
  );
  return { ...property, anchors: { ...property.anchors, byYear: [...byYear, ...computed] } };
}

const spanOf = (range: { startsOn: IsoDate; endsBefore: IsoDate }): TrialSpan => ({
  from: toDay(range.startsOn),
  to: toDay(range.endsBefore) - 1,
});

/** The stretch of the treatment's open days, as they are in a trial, that the planned day belongs to. */
function windowsOf(
  setting: Setting,
  job: LandJob,
  treatment: Treatment,
  nearDay: number,
): (TrialSpan | null)[] {
  const { operation, plan, weather } = setting;
  const stretches = (property: Property) =>
    openStretches(operation, { ...job, property }, treatment, plan.horizon).map(spanOf);
  const usual = stretches(job.property);
  const gap = (span: TrialSpan) => Math.max(0, span.from - nearDay, nearDay - span.to);
  const own = usual.toSorted((a, b) => gap(a) - gap(b) || a.from - b.from)[0];
  const isSame = weather.seasons.every(
    (year) => weather.leafOutOf(job.property.id, year + 1) === null,
  );
  return weather.seasons.map((_, trial) => {
    if (!own) return null;
    if (isSame) return own;
    const near = stretches(propertyIn(setting, job.property, trial)).toSorted(
      (a, b) => Math.abs(a.from - own.from) - Math.abs(b.from - own.from),
    )[0];
    return near ?? null;
  });
}

function askedOf(setting: Setting, prescriptionKey: string): AskedDays {
  const asked = setting.asked.get(prescriptionKey) ?? new Uint8Array(monthDayCount);
  setting.asked.set(prescriptionKey, asked);
  return asked;
}

/** Marks the days of every window, of the other treatments of a step too, so that no other day is judged. */
function askForDays(setting: Setting, { task, job }: BurnTask): void {
  for (const treatment of job.treatments.filter((one) => one.family === 'burn')) {
    const own = { ...task, treatmentKey: treatment.key };
    const asked = askedOf(setting, prescriptionKeyOf(setting.operation, own) ?? '');
    for (const span of windowsOf(setting, job, treatment, toDay(task.startsOn))) {
      if (!span) continue;
      for (let day = span.from; day <= span.to; day++) asked[monthDayIndex(fromDay(day))] = 1;
    }
    // A leap day of the plan takes the 28th of a common year, and the other way round.
    const leapDay = monthDayIndex(isoDate('2028-02-29'));
    asked[leapDay] = asked[leapDay - 1] ||= asked[leapDay] as number;
  }
}

/** First day on which everything that the burn waits for is done: facts, and other work on its planned days. */
function readyFrom(setting: Setting, { job }: BurnTask): number {
  const calendar = lagCalendarOf(job.property);
  const ready = job.links.map(({ rule, forerunner }) => {
    if ('endedOn' in forerunner)
      return toDay(earliestAfter(rule.least, forerunner.endedOn, calendar));
    const step = forerunner.job.identity;
    const parts = setting.plan.tasks.filter(
      (task) => !task.isWhenFit && isTaskOfStep(task.key, step),
    );
    const last = parts.reduce(
      (latest, task) => (task.lastDay > latest ? task.lastDay : latest),
      '',
    );
    return last === '' ? setting.from : toDay(earliestAfter(rule.least, last as IsoDate, calendar));
  });
  return Math.max(setting.from, ...ready);
}

function pastBurnOf(setting: Setting, one: BurnTask, fit: FitHours): PastBurn {
  const { operation, weather } = setting;
  const { task, job, treatment } = one;
  const prescription = prescriptionKeyOf(operation, task) ?? '';
  const gear = new Set(operation.gear.map((row) => row.key));
  return {
    key: task.key,
    propertyId: task.propertyId,
    nearKey: String(task.propertyId),
    unitIds: job.units.map((unit) => unit.id),
    areaAcres: task.areaAcres,
    peopleLeast: Math.max(treatment.peopleLeast, job.block.burnPeopleLeast),
    gearKeys: treatment.gear.filter((key) => gear.has(key)),
    ...weather.sizeOf(job.block.id, prescription),
    isOverdue: job.isOverdueForFire,
    plannedFrom: toDay(task.startsOn),
    readyFrom: readyFrom(setting, one),
    windows: windowsOf(setting, job, treatment, toDay(task.startsOn)),
    fit,
  };
}

/** Fire-skilled people of crews at work, burn help on its usual days, and bosses; one boss where none is named. */
export function peopleOn(
  operation: Operation,
  date: IsoDate,
  holidays: ReadonlySet<IsoDate>,
): DayPeople {
  const crews = operation.crews.filter(
    (crew) =>
      crew.kind !== 'contract' &&
      crew.skills.includes('fire') &&
      isCrewOnHand(crew, date, holidays),
  );
  const crewIds = new Set(crews.map((crew) => crew.id));
  const there = operation.people.filter((person) =>
    person.crewId === null
      ? !holidays.has(date) && person.usualDays.includes(weekday(date))
      : crewIds.has(person.crewId),
  );
  const help = there.filter((person) => person.crewId === null && person.burnRoles.length > 0);
  const people = crews.reduce((sum, crew) => sum + crew.peopleCount, 0) + help.length;
  const isBossNamed = operation.people.some((person) => person.burnRoles.includes('boss'));
  const bosses = there.filter((person) => person.burnRoles.includes('boss')).length;
  return { people, bosses: isBossNamed ? bosses : Math.min(1, people) };
}

function inputOf(setting: Setting, burns: PastBurn[], seed: number): PastYearsInput {
  const { operation, weather, from, until, seasonStart } = setting;
  const holidays = new Set(operation.holidays.map((row) => row.date));
  const days = Array.from({ length: until - from }, (_, index) => fromDay(from + index));
  return {
    burns,
    from,
    until,
    seasonStart,
    seasons: weather.seasons,
    people: days.map((date) => peopleOn(operation, date, holidays)),
    gearCount: Object.fromEntries(operation.gear.map((row) => [row.key, row.count])),
    gearOff: Object.fromEntries(
      operation.gear.map((row) => [
        row.key,
        new Set(days.filter((date) => row.daysOff.some((off) => rangeHolds(off, date))).map(toDay)),
      ]),
    ),
    usedShare: operation.settings.supply.usedShare,
    seed,
  };
}

const spread = (values: readonly number[]): Spread => ({
  p10: percentile(values, 0.1),
  median: percentile(values, 0.5),
  p90: percentile(values, 0.9),
});

function propertyResult(
  setting: Setting,
  property: Property,
  burns: PastBurn[],
  run: PastYearsRun,
): PropertyResult {
  const { operation, plan, weather } = setting;
  const seasonOf = (date: IsoDate) => burningSeasonOf(date, property.burningSeasonStart);
  const own = burns.flatMap((burn, index) => {
    const result = run.burns[index];
    return burn.propertyId === property.id && result ? [{ burn, result }] : [];
  });
  const lastDay = lastDayOf(plan.horizon);
  const first = seasonOf(plan.horizon.startsOn);
  const seasons = Array.from(
    { length: seasonOf(lastDay) - first + 1 },
    (_, index) => first + index,
  );
  const trials = weather.seasons.map((_, trial) => trial);
  const units = operation.units.filter((unit) => unit.propertyId === property.id);
  const overdueIn = (trial: number) =>
    units.filter((unit) => {
      const block = operation.blocks.find((one) => one.id === unit.blockId);
      const rotation = block ? rotationOf(operation, block) : null;
      const status = fireStatus(operation, unit, lastDay).kind;
      if (!rotation || status === 'held' || status === 'not-planned') return false;
      const burned = own
        .filter(({ burn }) => burn.unitIds.includes(unit.id))
        .flatMap(({ result }) => result.doneOn[trial] ?? []);
      const known = lastFireThatCounts(operation, unit, plan.horizon.startsOn);
      const fires = [...burned, ...(known ? [known.doneOn] : [])].sort();
      const last = fires.at(-1);
      return last === undefined || overdueAfter(last, rotation.mostYears) < lastDay;
    }).length;
  return {
    propertyId: property.id,
    unitCount: units.length,
    overdueUnits: spread(trials.map(overdueIn)),
    seasons: seasons.map((season) => {
      const acres = (trial: number) =>
        own.reduce((sum, { burn, result }) => {
          const date = result.doneOn[trial];
          return date && seasonOf(date) === season ? sum + burn.areaAcres : sum;
        }, 0);
      const planned = own.filter(({ burn }) => seasonOf(fromDay(burn.plannedFrom)) === season);
      return {
        season,
        plannedAcres: planned.reduce((sum, { burn }) => sum + burn.areaAcres, 0),
        acres: spread(trials.map(acres)),
      };
    }),
  };
}

const doneOfAll = (run: PastYearsRun) => run.burns.reduce((sum, burn) => sum + burn.chance.done, 0);

/** The input with a change in it; null where the change is not to be had. */
function changed(
  setting: Setting,
  input: PastYearsInput,
  weak: BurnTask,
  index: number,
  kind: TriedChange['kind'],
): PastYearsInput | null {
  const burn = input.burns[index] as PastBurn;
  if (kind === 'used-share') {
    const usedShare = Math.min(1, input.usedShare + usedShareMore);
    return usedShare > input.usedShare ? { ...input, usedShare } : null;
  }
  if (kind === 'weekends') {
    const most = (of: keyof DayPeople) => Math.max(0, ...input.people.map((day) => day[of]));
    const full = { people: most('people'), bosses: most('bosses') };
    const isWeekend = (at: number) => weekday(fromDay(input.from + at)) > 5;
    return { ...input, people: input.people.map((day, at) => (isWeekend(at) ? full : day)) };
  }
  if (kind === 'earlier-line') {
    const starts = burn.windows.flatMap((span) => span?.from ?? []);
    if (starts.every((from) => from >= burn.readyFrom)) return null;
    const burns = input.burns.with(index, { ...burn, readyFrom: burn.readyFrom - lineDaysEarlier });
    return { ...input, burns };
  }
  return withLateSeason(setting, input, weak, burn);
}

function atOnce<T>(counting: Generator<void, T>): T {
  let step = counting.next();
  while (!step.done) step = counting.next();
  return step.value;
}

/** The burn may also be done by another treatment of its step, in that one's window, as one more burn of the list. */
function withLateSeason(
  setting: Setting,
  input: PastYearsInput,
  { task, job }: BurnTask,
  burn: PastBurn,
): PastYearsInput | null {
  const other = job.treatments.find(
    (treatment) => treatment.family === 'burn' && treatment.key !== task.treatmentKey,
  );
  if (!other) return null;
  const key = prescriptionKeyOf(setting.operation, { ...task, treatmentKey: other.key }) ?? '';
  const also: PastBurn = {
    ...burn,
    key: `${burn.key}+${other.key}`,
    windows: windowsOf(setting, job, other, burn.plannedFrom),
    fit: atOnce(setting.weather.fitOf(job.block.id, key, askedOf(setting, key))),
  };
  return { ...input, burns: [...input.burns, also] };
}

function* tryChanges(
  setting: Setting,
  input: PastYearsInput,
  run: PastYearsRun,
  tasks: readonly BurnTask[],
): Generator<void, PastYearsResult['weakest']> {
  const weak = run.burns
    .map((burn, index) => ({ burn, index }))
    .filter(({ burn }) => burn.chance.done < burn.chance.of)
    .sort((a, b) => a.burn.chance.done - b.burn.chance.done || a.index - b.index)[0];
  const task = weak && tasks[weak.index];
  if (!weak || !task) return null;
  const kinds = ['late-season', 'weekends', 'used-share', 'earlier-line'] as const;
  const changes: TriedChange[] = [];
  for (const kind of kinds) {
    const other = changed(setting, input, task, weak.index, kind);
    if (!other) continue;
    yield;
    const again = runPastYears(other);
    const also = again.burns[input.burns.length];
    const done = (again.burns[weak.index] as BurnResult).doneOn.filter(
      (day, trial) => day !== null || (also?.doneOn[trial] ?? null) !== null,
    ).length;
    const own = { ...again, burns: again.burns.slice(0, input.burns.length) };
    const moreByOther = done - (again.burns[weak.index] as BurnResult).chance.done;
    changes.push({ kind, done, doneOfAll: doneOfAll(own) + moreByOther });
  }
  changes.sort((a, b) => b.done - a.done || b.doneOfAll - a.doneOfAll);
  return {
    key: weak.burn.key,
    done: weak.burn.chance.done,
    doneOfAll: doneOfAll(run),
    changes: changes.filter((one) => one.done > weak.burn.chance.done),
  };
}

/**
 * The past-years test of a plan, in steps so that its progress shows and it can be stopped: a step a burn for its
 * weather, then the walk and the changes tried. Null when there is no whole season of weather or no burn in the plan.
 * Other work is taken as done on its planned days; papers and consents as in hand; a burn that is not done in its
 * window stays undone and the later ones go on as planned.
 */
export function* pastYearsTest(
  operation: Operation,
  plan: PlanContent,
  weather: PastWeather,
  seed: number,
): Generator<{ done: number; of: number }, PastYearsResult | null> {
  const tasks = burnTasks(operation, plan);
  const { seasons } = weather;
  const property = operation.properties[0];
  if (tasks.length === 0 || seasons.length === 0 || !property) return null;
  const { startsOn, endsBefore } = plan.horizon;
  const setting: Setting = {
    operation,
    plan,
    weather,
    from: toDay(startsOn),
    until: toDay(endsBefore),
    seasonStart: toDay(burningSeasonStart(startsOn, property.burningSeasonStart)),
    asked: new Map(),
  };
  for (const year of seasons) {
    for (const one of operation.properties) weather.leafOutOf(one.id, year + 1);
    yield { done: 0, of: tasks.length + 2 };
  }
  for (const one of tasks) {
    askForDays(setting, one);
    yield { done: 0, of: tasks.length + 2 };
  }
  const burns: PastBurn[] = [];
  for (const one of tasks) {
    const key = prescriptionKeyOf(operation, one.task) ?? '';
    const counting = weather.fitOf(one.job.block.id, key, askedOf(setting, key));
    let step = counting.next();
    for (; !step.done; step = counting.next()) yield { done: burns.length, of: tasks.length + 2 };
    burns.push(pastBurnOf(setting, one, step.value));
  }
  yield { done: tasks.length, of: tasks.length + 2 };
  const input = inputOf(setting, burns, seed);
  const run = runPastYears(input);
  const trying = tryChanges(setting, input, run, tasks);
  let tried = trying.next();
  for (; !tried.done; tried = trying.next()) yield { done: tasks.length + 1, of: tasks.length + 2 };
  yield { done: tasks.length + 1, of: tasks.length + 2 };
  return {
    station: weather.station,
    trials: run.trials,
    fromSeason: seasons[0] as number,
    toSeason: seasons.at(-1) as number,
    seed,
    usedShare: input.usedShare,
    burns: run.burns,
    properties: operation.properties.map((one) => propertyResult(setting, one, burns, run)),
    weakest: tried.value,
  };
}
