import { fromDay, isoDate, type MonthDay, monthDay, toDay } from '../dates.ts';
import type { Operation } from '../operation.ts';
import { noWorkThatApplies } from '../season/no-work.ts';
import { type SeasonalWindow, type WindowEnd, windowOpeningIn } from '../seasons.ts';
import type { Obstacle } from '../tasks.ts';
import {
  freeIn,
  planTree,
  type Standing,
  type Trial,
  type TrialWish,
  treeOf,
  viewOf,
} from './block-view.ts';
import type { LandJob } from './land-jobs.ts';
import { heldDayOf, type LandProblem } from './land-model.ts';
import type { RowSubject } from './land-rows.ts';
import { firstDayOfPool } from './land-weeks.ts';

/** One thing that could give way: rows of which there would be enough, or an operation in which it is not there. */
export interface Relief {
  kind: Obstacle;
  /** Name of the crew, gear or rule; key of the task with held dates; blank where the kind says it all. */
  subject: string;
  /** `capacity`: what there is of the row without any work. */
  isFreed?: (subject: RowSubject, capacity: number) => boolean;
  change?: (operation: Operation) => Operation;
}

/** Days by which a season is thought to be longer at either end. */
export const seasonDaysMore = 14;

/** The first thing whose relaxing gives a start that is asked for, with the plan of the block that it gives. */
export interface Relieved {
  kind: Obstacle;
  /** More than one only for `several`: all of them together, and none of them can be left away. */
  reliefs: Relief[];
  trial: Trial;
}

/** Things that the model knows as rows, in the order in which they are tried. */
function rowReliefs({ crews, gear }: Operation): Relief[] {
  const ofCrew =
    (id: number) =>
    (subject: RowSubject): boolean =>
      subject.kind === 'crew' && subject.crewId === id;
  const ofKind =
    (kind: RowSubject['kind']) =>
    (subject: RowSubject): boolean =>
      subject.kind === kind;
  const own = crews.filter((crew) => crew.kind !== 'contract');
  const hired = crews.filter((crew) => crew.kind === 'contract');
  return [
    ...own.map(({ id, name }) => ({ kind: 'crew' as const, subject: name, isFreed: ofCrew(id) })),
    ...gear.map(({ key, name }) => ({
      kind: 'gear' as const,
      subject: name,
      isFreed: (subject: RowSubject) => subject.kind === 'gear' && subject.gearKey === key,
    })),
    ...hired.map(({ id, name }) => ({
      kind: 'booking' as const,
      subject: name,
      isFreed: ofCrew(id),
    })),
    {
      kind: 'fit-days',
      subject: '',
      isFreed: ({ kind }: RowSubject, capacity: number) => kind === 'fit-days' && capacity > 0,
    },
    { kind: 'fit-days', subject: '', isFreed: ofKind('fit-days') },
    { kind: 'neighbor', subject: '', isFreed: ofKind('apart') },
    { kind: 'turn', subject: '', isFreed: ofKind('turn') },
  ];
}

/** Dates held for other tasks of the same tree. */
function heldReliefs({ operation, problem }: Standing, tree: readonly number[], task: number) {
  return tree.flatMap((at): Relief[] => {
    const key = problem.jobs[at]?.identity.key ?? '';
    if (at === task || heldDayOf(operation, problem.weeks, key) === null) return [];
    const change = (one: Operation): Operation => ({
      ...one,
      heldDates: one.heldDates.filter((row) => row.taskKey !== key),
    });
    return [{ kind: 'held-dates', subject: key, change }];
  });
}

/** Things that decide which placings there are at all, in the order in which they are tried. */
function changeReliefs(operation: Operation, job: LandJob): Relief[] {
  const { property, units, treatments, block } = job;
  const unitIds = operation.units.filter((one) => one.blockId === block.id).map((one) => one.id);
  const hasNeighbour = operation.neighbours.some((pair) =>
    pair.unitIds.some((id) => unitIds.includes(id)),
  );
  const neighbour: Relief = {
    kind: 'neighbor',
    subject: '',
    change: (one) => ({
      ...one,
      neighbours: one.neighbours.filter((pair) => !pair.unitIds.some((id) => unitIds.includes(id))),
    }),
  };
  const keys = new Set(treatments.map(({ key }) => key));
  const rules = operation.noWork.filter((span) =>
    treatments.some((treatment) =>
      units.some((unit) => noWorkThatApplies(span, { property, unit, treatment })),
    ),
  );
  return [
    ...(hasNeighbour ? [neighbour] : []),
    ...operation.crews.filter((crew) => crew.daysOff.length > 0).map(withoutDaysOff),
    ...operation.gear
      .filter((gear) => gear.daysOff.length > 0)
      .map(
        ({ key, name }): Relief => ({
          kind: 'gear-away',
          subject: name,
          change: (one) => ({
            ...one,
            gear: one.gear.map((gear) => (gear.key === key ? { ...gear, daysOff: [] } : gear)),
          }),
        }),
      ),
    ...operation.crews.filter((crew) => crew.onSpans !== null).map(withoutSpans),
    ...rules.map(
      ({ key, name }): Relief => ({
        kind: 'no-work',
        subject: name,
        change: (one) => ({ ...one, noWork: one.noWork.filter((span) => span.key !== key) }),
      }),
    ),
    {
      kind: 'season',
      subject: '',
      change: (one) => ({
        ...one,
        treatments: one.treatments.map((treatment) =>
          keys.has(treatment.key)
            ? { ...treatment, windows: treatment.windows.map((span) => longer(span, job)) }
            : treatment,
        ),
      }),
    },
  ];
}

function withoutDaysOff({ id, name }: Operation['crews'][number]): Relief {
  return {
    kind: 'crew-away',
    subject: name,
    change: (one) => ({
      ...one,
      crews: one.crews.map((crew) => (crew.id === id ? { ...crew, daysOff: [] } : crew)),
    }),
  };
}

function withoutSpans({ id, name }: Operation['crews'][number]): Relief {
  return {
    kind: 'not-booked',
    subject: name,
    change: (one) => ({
      ...one,
      crews: one.crews.map((crew) => (crew.id === id ? { ...crew, onSpans: null } : crew)),
    }),
  };
}

function shifted(end: WindowEnd, days: number): WindowEnd {
  if ('at' in end) return { at: shiftedMonthDay(end.at, days) };
  if ('anchor' in end) return { ...end, plusDays: end.plusDays + days };
  if ('earlierOf' in end)
    return { earlierOf: [shifted(end.earlierOf[0], days), shifted(end.earlierOf[1], days)] };
  return { laterOf: [shifted(end.laterOf[0], days), shifted(end.laterOf[1], days)] };
}

function shiftedMonthDay(at: MonthDay, days: number): MonthDay {
  return monthDay(fromDay(toDay(isoDate(`2027-${at === '02-29' ? '02-28' : at}`)) + days).slice(5));
}

/** A window longer at both ends; one that would then close the year stays as it is. */
function longer(window: SeasonalWindow, { property }: LandJob): SeasonalWindow {
  const opening = windowOpeningIn(window, 2027, property.anchors);
  const days = opening ? toDay(opening.endsBefore) - toDay(opening.startsOn) : 0;
  if (days === 0 || days + 2 * seasonDaysMore > 364) return window;
  return {
    ...window,
    opens: shifted(window.opens, -seasonDaysMore),
    closes: shifted(window.closes, seasonDaysMore),
  };
}

/**
 * The first single thing whose relaxing gives a better start: the block is planned again, exactly, in what the other
 * blocks leave free, with one thing at a time out of the way, from the mildest to the hardest. Where no single one
 * does, the fewest of the rows that do together (none of them can be left away). A task that is left out (`currentDay`
 * null) may also fit and cost more than leaving it out counts for. Null when nothing that can be relaxed helps.
 */
export function firstRelief(
  standing: Standing,
  task: number,
  currentDay: number | null,
): Relieved | null {
  const { operation, problem } = standing;
  const job = problem.jobs[task] as LandJob;
  const without = new Set(treeOf(standing, task));
  const view = viewOf(standing, operation, job.block.id);
  const free = freeIn(standing, view, without);
  const inView = (wish: TrialWish) =>
    better(planTree(standing, view, free, job.identity.key, wish), currentDay);
  const changed = (reliefs: readonly Relief[]) =>
    changedTrial(standing, task, currentDay, without, reliefs);

  const room = inView({});
  if (room) return { kind: 'room', reliefs: [], trial: room };
  const held = heldRelief(standing, task, currentDay);
  if (held) return held;
  const rows = rowReliefs(operation);
  const byRows = firstOf(rows, ({ isFreed }) => inView(isFreed ? { isFreed } : {}));
  if (byRows) return { ...byRows, trial: inFewestRows(byRows.trial, inView, currentDay) };
  const changes = changeReliefs(operation, job);
  const byChange =
    changed(changes) === null ? null : firstOf(changes, (relief) => changed([relief]));
  if (byChange) return byChange;
  const together = fewestOf(rows, (some) =>
    inView({
      isFreed: (subject, capacity) => some.some(({ isFreed }) => isFreed?.(subject, capacity)),
    }),
  );
  if (together) {
    const trial = inFewestRows(together.trial, inView, currentDay);
    return { kind: 'several', reliefs: together.reliefs, trial };
  }
  const forced = currentDay === null ? inView({ isForced: true }) : null;
  return forced && { kind: 'price', reliefs: [], trial: forced };
}

/** The first dates held for another task of the tree without which the task starts (sooner). */
export function heldRelief(
  standing: Standing,
  task: number,
  currentDay: number | null,
): Relieved | null {
  const tree = treeOf(standing, task);
  return firstOf(heldReliefs(standing, tree, task), (relief) =>
    changedTrial(standing, task, currentDay, new Set(tree), [relief]),
  );
}

/** The tree planned again in the operation as it would be. */
function changedTrial(
  standing: Standing,
  task: number,
  currentDay: number | null,
  without: ReadonlySet<number>,
  reliefs: readonly Relief[],
): Trial | null {
  const { block, identity } = standing.problem.jobs[task] as LandJob;
  const operation = reliefs.reduce((one, { change }) => change?.(one) ?? one, standing.operation);
  const view = viewOf(standing, operation, block.id);
  const trial = planTree(standing, view, freeIn(standing, view, without), identity.key);
  return better(trial, currentDay);
}

/**
 * The same with as few rows relaxed as do, the later ones given back first: an early start may take what many hold. A
 * task that is late keeps at least half of what it gains.
 */
function inFewestRows(
  first: Trial,
  inView: (wish: TrialWish) => Trial | null,
  currentDay: number | null,
): Trial {
  let trial = first;
  const { view } = first;
  const latest =
    currentDay === null
      ? Number.POSITIVE_INFINITY
      : Math.floor((currentDay + (first.startDay ?? currentDay)) / 2);
  let rows = first.short.map(({ row }) => row);
  for (const row of rows.toSorted((a, b) => dayOfRow(view, b) - dayOfRow(view, a) || b - a)) {
    const fewer = rows.filter((one) => one !== row);
    const other = inView({ isFreed: (_subject, _capacity, at) => fewer.includes(at) });
    if (other?.startDay && other.startDay <= latest) [rows, trial] = [fewer, other];
  }
  return trial;
}

function dayOfRow({ rows, weeks }: LandProblem, row: number): number {
  const subject = rows.subjects[row];
  if (subject?.kind === 'fit-days') return firstDayOfPool(subject.pool);
  return subject && 'week' in subject ? weeks.firstDay + subject.week * 7 : 0;
}

/** The trial when the task starts at all, and sooner than it does. */
function better(trial: Trial | null, currentDay: number | null): Trial | null {
  const day = trial?.startDay ?? null;
  return day !== null && (currentDay === null || day < currentDay) ? trial : null;
}

function firstOf(reliefs: readonly Relief[], tried: (relief: Relief) => Trial | null) {
  for (const relief of reliefs) {
    const trial = tried(relief);
    if (trial) return { kind: relief.kind, reliefs: [relief], trial };
  }
  return null;
}

/** All of them, less each one that can be left away, the hardest first. */
function fewestOf(reliefs: readonly Relief[], tried: (some: readonly Relief[]) => Trial | null) {
  let left = reliefs;
  let trial = tried(left);
  if (!trial) return null;
  for (const relief of reliefs.toReversed()) {
    const fewer = left.filter((one) => one !== relief);
    const other = tried(fewer);
    if (other) [left, trial] = [fewer, other];
  }
  return { reliefs: [...left], trial };
}
