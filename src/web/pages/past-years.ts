import type { Operation } from '../../core/operation.ts';
import type { Plan } from '../../core/plans.ts';
import type { Problem } from '../../core/problems.ts';
import { burningSeasonName } from '../../core/seasons.ts';
import type { PlannedTask } from '../../core/tasks.ts';
import type { Caution } from '../../core/treatments.ts';
import type { BurnResult, HeldBack } from '../../core/weather/past-years.ts';
import {
  lineDaysEarlier,
  type PastYearsResult,
  type Spread,
  type TriedChange,
  usedShareMore,
} from '../../core/weather/past-years-land.ts';
import type { Deps, PastYearsRunState } from '../deps.ts';
import * as words from '../words.ts';
import { type Shell, shellOf } from './shell.ts';
import { cautionsFor, type PlaceWords, placeWords } from './task-words.ts';

/** A burn of the plan and how often past years let it be done. */
export interface PastBurnLine {
  name: string;
  place: PlaceWords;
  planned: string;
  chance: string;
  interval: string;
  /** Ends and middle of the interval, percent, for the bar. */
  bar: { low: number; done: number; high: number };
  usualDay: string;
  heldBack: string;
  days: string;
  isWeak: boolean;
}

export interface PastYearsView {
  madeAt: string;
  isOld: boolean;
  /** Fewer than ten seasons. */
  isShort: boolean;
  isInvented: boolean;
  summary: string;
  basis: string;
  burns: PastBurnLine[];
  weakest: { sentence: string; changes: string[] } | null;
  properties: {
    name: string;
    seasons: { season: string; planned: string; acres: string; range: string }[];
    overdue: string;
  }[];
}

export interface PastYearsPage {
  shell: Shell;
  /** Null without a plan. */
  plan: { id: number; isDraft: boolean; name: string } | null;
  hasDraft: boolean;
  hasInForce: boolean;
  run: PastYearsRunState | null;
  runPercent: number;
  problems: Problem[];
  view: PastYearsView | null;
  hasHistory: boolean;
  cautions: Caution[];
}

const heldBackWords: Record<HeldBack, string> = {
  weather: 'too few fit days',
  unknown: 'weather not on record, so not fit',
  'not-ready': 'the work before it was not done in time',
  people: 'fit days without the people, a boss or the trailer',
  share: 'fit days that were not used',
  'other-burns': 'other burns took its days',
  window: 'its window did not open',
};

/** "26 of 30 years". */
export function chanceWords(chance: { done: number; of: number }): string {
  return `${chance.done} of ${words.count(chance.of, 'year')}`;
}

const percent = (share: number) => Math.round(share * 100);

function spreadWords({ p10, p90 }: Spread): string {
  return p10 === p90 ? words.number(p10, 0) : `${words.number(p10, 0)} to ${words.number(p90, 0)}`;
}

function lineOf(place: PlaceWords, task: PlannedTask, result: BurnResult): PastBurnLine {
  const { chance, heldBack, stages, medianOn } = result;
  const day = (value: number) => words.number(value, 1);
  return {
    name: task.name,
    place,
    planned: words.span(task.startsOn, task.lastDay),
    chance: chanceWords(chance),
    interval: `${percent(chance.low)} to ${percent(chance.high)} in 100`,
    bar: {
      low: percent(chance.low),
      done: percent(chance.of === 0 ? 0 : chance.done / chance.of),
      high: percent(chance.high),
    },
    usualDay: medianOn ? words.date(medianOn) : 'never',
    heldBack: heldBack
      ? `${heldBackWords[heldBack.cause]}, ${heldBack.times} of ${words.count(chance.of - chance.done, 'year')} missed`
      : 'nothing',
    days: `${day(stages.window)} open, ${day(stages.ready)} ready, ${day(stages.fit)} fit, ${day(stages.people)} with people, ${day(stages.used)} used`,
    isWeak: chance.done * 2 < chance.of,
  };
}

/** What a change is, in words that say what to do. */
export function changeWords(change: TriedChange, usedShare: number): string {
  switch (change.kind) {
    case 'late-season':
      return 'also allow it late in the growing season';
    case 'weekends':
      return 'have the burn people on weekends too';
    case 'used-share':
      return `use more of the fit days: a share of ${words.number(Math.min(1, usedShare + usedShareMore), 2)} in place of ${words.number(usedShare, 2)}`;
    case 'earlier-line':
      return `have the line and the other work before it done ${lineDaysEarlier} days earlier`;
  }
}

/** "Weakest: ... Most lifted by ...". Also shown on the Plan page. */
export function weakestOf(
  operation: Operation,
  plan: Plan,
  result: PastYearsResult,
): PastYearsView['weakest'] {
  const { weakest } = result;
  const task = plan.content.tasks.find((one) => one.key === weakest?.key);
  if (!weakest || !task) return null;
  const place = placeWords(operation)(task);
  const count = (done: number) => chanceWords({ done, of: result.trials });
  return {
    sentence: `The weakest burn is ${task.name} on ${place.words}: done in ${count(weakest.done)}.`,
    changes: weakest.changes.map((change) => {
      const more = change.doneOfAll - weakest.doneOfAll;
      const others =
        more > 0
          ? `; ${words.number(more / result.trials, 1)} more burns in a mean year, all together`
          : '';
      return `${changeWords(change, result.usedShare)}: ${count(change.done)}${others}`;
    }),
  };
}

function summaryOf(result: PastYearsResult): string {
  const share = ({ chance }: BurnResult) => chance.done / Math.max(1, chance.of);
  const sure = result.burns.filter((burn) => share(burn) >= 0.9).length;
  const weak = result.burns.filter((burn) => share(burn) < 0.5).length;
  const mean = result.burns.reduce((sum, burn) => sum + share(burn), 0);
  return `Of ${words.count(result.burns.length, 'burn')} in the plan, ${words.number(mean, 1)} get done in a mean year. ${sure} would be done in 9 of 10 years or more; ${weak} in fewer than half.`;
}

export function pastYearsView(
  operation: Operation,
  plan: Plan,
  kept: { madeAt: string; isOld: boolean; result: PastYearsResult },
): PastYearsView {
  const { result } = kept;
  const place = placeWords(operation);
  const tasks = new Map(plan.content.tasks.map((task) => [task.key, task]));
  const burns = result.burns.flatMap((burn): PastBurnLine[] => {
    const task = tasks.get(burn.key);
    return task ? [lineOf(place(task), task, burn)] : [];
  });
  return {
    madeAt: words.instant(kept.madeAt),
    isOld: kept.isOld,
    isShort: result.trials < 10,
    isInvented: result.station.isInvented,
    summary: summaryOf(result),
    basis: `${words.count(result.trials, 'burning season')} of weather at ${result.station.name}, ${burningSeasonName(result.fromSeason)} to ${burningSeasonName(result.toSeason)}; share of fit days really used ${words.number(result.usedShare, 2)}; seed ${result.seed}`,
    burns: burns.toSorted((a, b) => a.bar.done - b.bar.done),
    weakest: weakestOf(operation, plan, result),
    properties: result.properties.flatMap((row) => {
      const property = operation.properties.find((one) => one.id === row.propertyId);
      if (!property) return [];
      return [
        {
          name: property.name,
          seasons: row.seasons.map(({ season, plannedAcres, acres }) => ({
            season: burningSeasonName(season),
            planned: words.number(plannedAcres, 0),
            acres: words.number(acres.median, 0),
            range: spreadWords(acres),
          })),
          overdue: `${words.number(row.overdueUnits.median, 0)} of ${words.count(row.unitCount, 'unit')} in the middle year; ${spreadWords(row.overdueUnits)} in 8 of 10 years`,
        },
      ];
    }),
  };
}

/** What the past-years page shows: of the draft when asked for, else of the plan in force. */
export function pastYearsPage(
  deps: Deps,
  asked: string | undefined,
  problems: Problem[] = [],
): PastYearsPage {
  const operation = deps.operation();
  const inForce = deps.plans.inForce();
  const draft = deps.plans.draft();
  const plan = asked === 'draft' ? (draft ?? inForce) : (inForce ?? draft);
  const run = deps.burns.pastYears.run();
  const kept = plan ? deps.burns.pastYears.kept(plan.id) : null;
  const burns = (plan?.content.tasks ?? []).filter((task) => task.isWhenFit);
  return {
    shell: shellOf(deps, 'plan', 'Would past years have let it be done?'),
    plan: plan && {
      id: plan.id,
      isDraft: plan.state === 'draft',
      name: `${plan.state === 'draft' ? 'the draft' : 'the plan in force'}, made ${words.date(plan.content.madeOn)}, ${words.count(burns.length, 'burn')}`,
    },
    hasDraft: draft !== null,
    hasInForce: inForce !== null,
    run: run && plan && run.planId === plan.id ? run : null,
    runPercent: run ? Math.round(run.share * 100) : 0,
    problems,
    view: plan && kept ? pastYearsView(operation, plan, kept) : null,
    hasHistory: deps.weather.stations().some((station) => station.hours > 0),
    cautions: cautionsFor(
      operation,
      burns.map((task) => task.treatmentKey),
    ),
  };
}
