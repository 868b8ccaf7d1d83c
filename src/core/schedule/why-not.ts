import { dateWords, fromDay, lastDayOf } from '../dates.ts';
import { fires } from '../rotation.ts';
import { burningSeasonName, burningSeasonOf } from '../seasons.ts';
import { placeOfTask, type WhyNot } from '../tasks.ts';
import { holdersOf, type Standing, type Trial, treeOf } from './block-view.ts';
import { type Displacing, displacingFor } from './displacing.ts';
import { dueOf } from './land-due.ts';
import type { LandJob } from './land-jobs.ts';
import type { LandProblem } from './land-model.ts';
import type { RowSubject } from './land-rows.ts';
import { firstDayOfPool } from './land-weeks.ts';
import { edgesInto } from './model-edges.ts';
import { firstRelief, heldRelief, type Relieved, seasonDaysMore } from './reliefs.ts';

/** Names said before "and 2 more". */
const saidMost = 4;

/**
 * Why a task is left out (`currentDay` null) or starts no sooner than it does: the first single thing whose relaxing
 * would place it (sooner), who holds it, and what displacing them would cost. Null for a task that is left out and that
 * nothing that can be relaxed would place: then lags, facts or the horizon are the reason.
 */
export function whyNot(standing: Standing, task: number, currentDay: number | null): WhyNot | null {
  const relieved = firstRelief(standing, task, currentDay);
  if (!relieved) return currentDay === null ? null : soonest(standing, task);
  return said(standing, task, relieved, currentDay);
}

/** The same where only dates held for other steps of its block are asked about. */
export function whyNotByHeldDates(standing: Standing, task: number): WhyNot | null {
  const relieved = heldRelief(standing, task, null);
  return relieved && said(standing, task, relieved, null);
}

function said(
  standing: Standing,
  task: number,
  relieved: Relieved,
  currentDay: number | null,
): WhyNot {
  const displacing = displacingFor(standing, task, relieved.trial);
  const holders = displacing ? holdersIn(standing, task, relieved.trial) : [];
  return {
    obstacle: relieved.kind,
    words: wordsOf(standing, task, relieved, holders, currentDay),
    displacing: displacing && displacingWords(standing, displacing, holders.length),
  };
}

/** What a late task hangs on when nothing that can give way would bring it sooner. */
function soonest(standing: Standing, task: number): WhyNot {
  const { problem, choice } = standing;
  const before = edgesInto(problem.model.edges, task).find(({ pred }) => (choice[pred] ?? -1) >= 0);
  const due = dueOf(problem, choice, task);
  const open = problem.options[task]?.[choice[task] ?? -1]?.open;
  const why =
    due && due < problem.horizon.startsOn
      ? 'it was due before this plan begins'
      : before
        ? `it waits for ${taskWords(standing, before.pred)}`
        : `its season opens on ${dateWords(open?.startsOn ?? problem.horizon.startsOn)}`;
  return {
    obstacle: 'nothing',
    words: `nothing that could give way would bring it sooner: ${why}`,
    displacing: null,
  };
}

/** "Burn on N3 + N4 (from 4 Jan 2027)", with its part. */
function datedWords({ operation, problem, choice }: Standing, task: number, more = ''): string {
  const { name, identity } = problem.jobs[task] as LandJob;
  const part = identity.part === '-' ? '' : `, part ${identity.part},`;
  const from = problem.options[task]?.[choice[task] ?? -1]?.fromDay;
  const { unit } = placeOfTask(operation, identity);
  const place = `${name}${part} on ${unit}`;
  return from === undefined ? place : `${place} (from ${dateWords(fromDay(from))}${more})`;
}

/** The same, with a word when its dates are held. */
const taskWords = (standing: Standing, task: number) =>
  datedWords(standing, task, standing.problem.isHeld[task] ? ', dates held' : '');

function listed(items: readonly string[]): string {
  const names =
    items.length > saidMost + 1
      ? [...items.slice(0, saidMost), `${items.length - saidMost} more`]
      : [...items];
  const last = names.pop() ?? '';
  return names.length === 0 ? last : `${names.join(', ')} and ${last}`;
}

const figure = (count: number) => count.toLocaleString('en-US', { maximumFractionDigits: 1 });
const counted = (count: number, one: string, many = `${one}s`) =>
  `${figure(count)} ${count === 1 ? one : many}`;

/** Tasks of other blocks that hold what a trial lacks, each once. */
function holdersIn(standing: Standing, task: number, { view, short }: Trial): number[] {
  const own = new Set(treeOf(standing, task));
  return [...new Set(short.flatMap(({ row }) => holdersOf(standing, view, row, own)))];
}

function wordsOf(
  standing: Standing,
  task: number,
  relieved: Relieved,
  holders: readonly number[],
  currentDay: number | null,
): string {
  const { kind, trial } = relieved;
  const day = trial.startDay ?? 0;
  const sooner = currentDay === null ? '' : `, ${counted(currentDay - day, 'day')} sooner`;
  const start = `could start on ${dateWords(fromDay(day))}${sooner}`;
  if (kind === 'room') return `there is room: it ${start}, which a longer search would find`;
  if (kind === 'price')
    return `it ${start}, but ${priceWords(trial)} more than leaving it out counts for`;
  const names = holders.map((one) => taskWords(standing, one));
  const isMoreThanAll = holders.length === 0 && ['crew', 'gear', 'booking'].includes(kind);
  const held = isMoreThanAll
    ? ', even if all other work gave way'
    : names.length === 0
      ? ''
      : `, held by ${listed(names)}`;
  const without = kind === 'several' ? 'with all of that out of the way' : 'without that';
  const obstacle = obstacleWords(standing, task, relieved);
  if (kind === 'season') return `${obstacle}, and it ${start}`;
  return `${obstacle}${held}; ${without} it ${start}`;
}

/** What hired people cost in a trial, where there are any. */
function priceWords({ view, choice }: Trial): string {
  const dollars = view.options.reduce((sum, options, at) => {
    const mode = options[choice[at] ?? -1]?.mode;
    const hired = mode?.crews.filter((crew) => crew.kind === 'contract') ?? [];
    return hired.reduce((usd, crew) => usd + (crew.costPerDayUsd * (mode?.tenths ?? 0)) / 10, sum);
  }, 0);
  return dollars > 0
    ? `that costs, with $${figure(Math.round(dollars))} for hired crews,`
    : 'that costs';
}

function obstacleWords(
  standing: Standing,
  task: number,
  { kind, reliefs, trial }: Relieved,
): string {
  const subject = reliefs[0]?.subject ?? '';
  const { problem } = standing;
  switch (kind) {
    case 'held-dates': {
      const other = problem.jobs.findIndex((one) => one.identity.key === subject);
      return `the dates held for ${datedWords(standing, other)} leave it no time`;
    }
    case 'fit-days':
      return findsNoDay(trial, problem.jobs[task] as LandJob)
        ? 'no burn is likely to find a fit day by its prescription before the plan ends'
        : shortWords(standing, trial);
    case 'crew-away':
      return `${subject} has days off${weeksIn(standing, task, trial)}`;
    case 'gear-away':
      return `${subject} is away${weeksIn(standing, task, trial)}`;
    case 'not-booked':
      return `${subject} is not booked${weeksIn(standing, task, trial)}`;
    case 'season':
      return seasonWords(trial, problem.jobs[task] as LandJob);
    case 'no-work':
      return `no-work dates bar it (${subject})`;
    case 'neighbor':
      return trial.short.length > 0
        ? shortWords(standing, trial)
        : burnedWords(standing, problem.jobs[task] as LandJob, trial.startDay ?? 0);
    default:
      return shortWords(standing, trial);
  }
}

/** Neighbors that must stay apart and have burned in the season of a day. */
function burnedWords({ operation }: Standing, { block, property }: LandJob, day: number): string {
  const starts = property.burningSeasonStart;
  const season = burningSeasonOf(fromDay(day), starts);
  const blockOf = new Map(operation.units.map((unit) => [unit.id, unit.blockId]));
  const ids = operation.neighbours
    .filter((pair) => pair.unitIds.some((id) => blockOf.get(id) === block.id))
    .flatMap((pair) => pair.unitIds.filter((id) => blockOf.get(id) !== block.id));
  const burned = operation.units.filter(
    (unit) =>
      ids.includes(unit.id) &&
      fires(operation, unit).some(({ doneOn }) => burningSeasonOf(doneOn, starts) === season),
  );
  const codes = [...new Set(burned.map(({ code }) => code))];
  return `${listed(codes)}, which must stay apart, burned in ${burningSeasonName(season)}`;
}

/** True when every placing of a burn draws on two weeks without a likely fit day. */
function findsNoDay({ view }: Trial, job: LandJob): boolean {
  const at = view.jobs.findIndex(({ identity }) => identity.key === job.identity.key);
  const isNone = (row: number) =>
    view.rows.subjects[row]?.kind === 'fit-days' && view.rows.capacities[row] === 0;
  return (view.model.tasks[at]?.options ?? []).every(({ uses }) =>
    uses.some((row, place) => place % 2 === 0 && isNone(row)),
  );
}

/** " in the weeks of ..." of the task's own placing in a trial. */
function weeksIn(standing: Standing, task: number, { view, choice }: Trial): string {
  const key = standing.problem.jobs[task]?.identity.key;
  const at = view.jobs.findIndex((job) => job.identity.key === key);
  const option = view.options[at]?.[choice[at] ?? -1];
  if (!option) return '';
  const weeks = option.shares.map(({ week }) => week);
  return ` in ${weekWords(view, weeks)}`;
}

function weekWords({ weeks }: LandProblem, some: readonly number[]): string {
  const dates = [...new Set(some)]
    .sort((a, b) => a - b)
    .map((week) => dateWords(fromDay(weeks.firstDay + week * 7)));
  return `the ${dates.length === 1 ? 'week' : 'weeks'} of ${listed(dates)}`;
}

function seasonWords({ view, choice }: Trial, job: LandJob): string {
  const at = view.jobs.findIndex(({ identity }) => identity.key === job.identity.key);
  const open = view.options[at]?.[choice[at] ?? -1]?.open;
  const longer = `its season is too short: with ${seasonDaysMore} days more at either end`;
  return open
    ? `${longer} it would be open from ${dateWords(open.startsOn)} to ${dateWords(lastDayOf(open))}`
    : `${longer} it would do`;
}

/** What is short in a trial, thing by thing: crew and gear with days and weeks, fit days with their two weeks. */
function shortWords(standing: Standing, { view, short }: Trial): string {
  const rows = short.map(({ row, quantity }) => ({
    subject: view.rows.subjects[row] as RowSubject,
    isNone: view.rows.capacities[row] === 0,
    quantity,
  }));
  const things = byThing(standing, rows).map(({ name, day, weeks }) => {
    const tenths = [...weeks.values()].reduce((sum, one) => sum + one, 0);
    return `${name} is ${counted(tenths / 10, day)} short in ${weekWords(view, [...weeks.keys()])}`;
  });
  const rules = rows.flatMap(({ subject }) => {
    if (subject.kind === 'apart')
      return [subject.name.replace(' apart in ', ' may not both burn in ')];
    return subject.kind === 'turn' ? [subject.name] : [];
  });
  const parts = [...things, ...fitWords(rows), ...new Set(rules)];
  return parts.length > 0 ? parts.join(', and ') : 'the other steps of its block need it first';
}

interface Thing {
  name: string;
  day: 'crew day' | 'day';
  /** Tenths that are lacking, by week. */
  weeks: Map<number, number>;
}

/** Crews and gear with what they lack; rows of parts of a week are the same days again. */
function byThing(
  { operation }: Standing,
  rows: readonly { subject: RowSubject; quantity: number }[],
): Thing[] {
  const things = new Map<string, Thing>();
  for (const { subject, quantity } of rows) {
    if (subject.kind !== 'crew' && subject.kind !== 'gear') continue;
    const found =
      subject.kind === 'crew'
        ? operation.crews.find(({ id }) => id === subject.crewId)
        : operation.gear.find(({ key }) => key === subject.gearKey);
    const name = found?.name ?? '';
    const day = subject.kind === 'crew' ? 'crew day' : 'day';
    const thing: Thing = things.get(name) ?? { name, day, weeks: new Map() };
    thing.weeks.set(subject.week, Math.max(quantity, thing.weeks.get(subject.week) ?? 0));
    things.set(name, thing);
  }
  return [...things.values()];
}

/** Two-week spans whose likely fit days others have, and those in which its prescription is likely to find none. */
function fitWords(rows: readonly { subject: RowSubject; isNone: boolean }[]): string[] {
  const spans = (isNone: boolean): string => {
    const pools = rows.flatMap((row) =>
      row.subject.kind === 'fit-days' && row.isNone === isNone ? [row.subject.pool] : [],
    );
    return listed(
      [...new Set(pools)]
        .sort((a, b) => a - b)
        .map((pool) => dateWords(fromDay(firstDayOfPool(pool)))),
    );
  };
  const [taken, none] = [spans(false), spans(true)];
  return [
    ...(taken === '' ? [] : [`the likely fit days of the two weeks from ${taken} are taken`]),
    ...(none === ''
      ? []
      : [`no burn by its prescription is likely to find a fit day in the two weeks from ${none}`]),
  ];
}

/** Those that give way are named, unless they are all of the `holdersCount` that were named just before. */
function displacingWords(
  standing: Standing,
  { holders, change }: Displacing,
  holdersCount: number,
): string {
  const isAll = holders.length > 1 && holders.length === holdersCount;
  const who = isAll ? 'all of these' : listed(holders.map((one) => taskWords(standing, one)));
  const more = (count: number, one: string, many: string, suffix = ''): string[] => {
    if (count === 0) return [];
    const sign = count > 0 ? 'more' : 'fewer';
    return [`${figure(Math.abs(count))} ${sign} ${Math.abs(count) === 1 ? one : many}${suffix}`];
  };
  const dollars = Math.round(change.dollars);
  const parts = [
    ...more(change.burnsOnTime, 'burn', 'burns', ' on time'),
    ...more(change.leftOut, 'task', 'tasks', ' left out'),
    ...more(change.lateDays, 'late day', 'late days'),
    ...(dollars === 0
      ? []
      : [`$${figure(Math.abs(dollars))} ${dollars > 0 ? 'more' : 'less'} for hired crews`]),
    ...more(change.crewDaysTenths / 10, 'crew day', 'crew days'),
  ];
  const cost = parts.length > 0 ? parts.join(', ') : 'no burn or day lost and no dollar more';
  return `Displacing ${who} would mean ${cost}.`;
}
