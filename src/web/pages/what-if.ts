import { addDays, firstDayIn, type MonthDay, monthDay } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import { type PlanSummary, planSummary } from '../../core/plan-summary.ts';
import { burningSeasonName } from '../../core/seasons.ts';
import type { Caution } from '../../core/treatments.ts';
import { isSupposed, type WhatIf, whatIfWords } from '../../core/what-if.ts';
import type { Deps, WhatIfRun } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { type ChangeField, changeForms } from '../forms/what-if.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type Shell, shellOf, todayOf } from './shell.ts';
import { cautionsFor } from './task-words.ts';

/** Most what-ifs side by side. */
const comparedMost = 4;

/** A figure of every plan that is compared. */
export interface ComparedRow {
  name: string;
  cells: string[];
}

export interface Comparison {
  /** Names of the plans, that in force first. */
  heads: { name: string; path: string; isOld: boolean }[];
  groups: { name: string; rows: ComparedRow[] }[];
}

export interface WhatIfLine {
  id: number;
  path: string;
  name: string;
  changes: string[];
  state: string;
  isCompared: boolean;
  isSolved: boolean;
}

/** A search under way or the last one, in words. */
export interface WhatIfRunView extends WhatIfRun {
  name: string;
  path: string;
  percent: number;
  waiting: string[];
}

export interface WhatIfsPage {
  shell: Shell;
  lines: WhatIfLine[];
  comparison: Comparison | null;
  hasInForce: boolean;
  run: WhatIfRunView | null;
  /** The page asks again while this is true. */
  isBusy: boolean;
  /** Address of the page with what is compared. */
  path: string;
  form: FormState;
  cautions: Caution[];
}

export interface ChangeFormView {
  key: string;
  title: string;
  note: string;
  fields: (Omit<ChangeField, 'options'> & { options: { key: string; name: string }[] | null })[];
  form: FormState;
  isOpen: boolean;
  /** Nothing of the kind is on record, so nothing can be picked. */
  isEmpty: boolean;
}

export interface WhatIfPage {
  shell: Shell;
  whatIf: { id: number; path: string; name: string };
  changes: { words: string; isSupposed: boolean }[];
  run: WhatIfRunView | null;
  isBusy: boolean;
  isWaiting: boolean;
  comparison: Comparison | null;
  leftOut: { name: string; place: string; reason: string }[];
  leftOutMore: number;
  changedSince: string[];
  canAdopt: boolean;
  isSupposed: boolean;
  searchForm: FormState;
  /** What was wrong with taking a change out. */
  changesForm: FormState;
  forms: ChangeFormView[];
  cautions: Caution[];
}

export interface WhatIfAdoptionPage {
  shell: Shell;
  whatIf: { id: number; path: string; name: string };
  changes: string[];
  said: string;
  hasDraft: boolean;
  form: FormState;
  cautions: Caution[];
}

const title = 'What if it were otherwise?';
const leftOutMost = 60;
const pathOf = (id: number) => `/what-if/${id}`;
const isAtWork = (run: WhatIfRun | null) => run?.state === 'running' || run?.state === 'stopping';

/** Words of all changes as one text, to see whether they are still those that were shown. */
export function saidOf(operation: Operation, { changes }: WhatIf): string {
  return changes.map((change) => whatIfWords(operation, change)).join('\n');
}

/** The what-if of an address. Throws 404 when there is none. */
export function whatIfAt(deps: Deps, id: number): WhatIf {
  const whatIf = deps.whatIf.list().find((one) => one.id === id);
  if (!whatIf) throw new PageError(404, 'There is no what-if at this address.');
  return whatIf;
}

function runView(deps: Deps, all: readonly WhatIf[]): WhatIfRunView | null {
  const run = deps.whatIf.run();
  const nameOf = (id: number) => all.find((one) => one.id === id)?.name ?? 'a what-if';
  // One that was adopted or removed has nothing more to say.
  const isThere = all.some(({ id }) => id === run?.whatIfId);
  if (!run || !(isThere || isAtWork(run))) return null;
  return {
    ...run,
    name: nameOf(run.whatIfId),
    path: pathOf(run.whatIfId),
    percent: Math.min(100, Math.round((run.seconds / run.secondsBudget) * 100)),
    waiting: deps.whatIf.waiting().map(nameOf),
  };
}

function seasonRows(summaries: readonly PlanSummary[], startsAt: MonthDay): Comparison['groups'] {
  const seasons = [...new Set(summaries.flatMap((one) => one.seasons.map(({ season }) => season)))];
  seasons.sort();
  const cells = (season: number, said: (own: PlanSummary['seasons'][number]) => string) =>
    summaries.map((summary) => {
      const own = summary.seasons.find((one) => one.season === season);
      return own ? said(own) : 'not planned';
    });
  const endOf = (season: number) => words.date(addDays(firstDayIn(season + 1, startsAt), -1));
  return [
    {
      name: 'Units overdue for fire',
      rows: seasons.map((season) => ({
        name: `on ${endOf(season)}`,
        cells: cells(season, ({ overdueCount, neverBurnedCount: never }) =>
          never > 0 ? `${overdueCount}, and ${never} never burned` : String(overdueCount),
        ),
      })),
    },
    {
      name: 'Acres burned',
      rows: seasons.map((season) => ({
        name: `season ${burningSeasonName(season)}`,
        cells: cells(season, ({ burnAcres }) => words.number(burnAcres)),
      })),
    },
  ];
}

function yearRows(summaries: readonly PlanSummary[]): Comparison['groups'] {
  const years = [...new Set(summaries.flatMap((one) => one.years.map(({ year }) => year)))].sort();
  const rows = (said: (own: PlanSummary['years'][number]) => string) =>
    years.map((year) => ({
      name: String(year),
      cells: summaries.map((summary) => {
        const own = summary.years.find((one) => one.year === year);
        return said(own ?? { year, crewDays: 0, moneyUsd: 0 });
      }),
    }));
  return [
    { name: 'Crew days', rows: rows(({ crewDays }) => words.number(crewDays)) },
    { name: 'Money for contract crews', rows: rows(({ moneyUsd }) => words.money(moneyUsd)) },
  ];
}

function comparisonOf(deps: Deps, operation: Operation, solved: readonly WhatIf[]): Comparison {
  const inForce = deps.plans.inForce();
  const plans = [
    ...(inForce
      ? [
          {
            head: {
              name: 'Plan in force',
              path: '/plan',
              isOld: deps.plans.staleBecause().length > 0,
            },
            summary: planSummary(operation, inForce.content, todayOf(deps)),
          },
        ]
      : []),
    ...solved.flatMap((one) =>
      one.solved
        ? [
            {
              head: {
                name: one.name,
                path: pathOf(one.id),
                isOld: deps.whatIf.changedSince(one.id).length > 0,
              },
              summary: one.solved.summary,
            },
          ]
        : [],
    ),
  ];
  const summaries = plans.map(({ summary }) => summary);
  const count = (name: string, said: (summary: PlanSummary) => string) => ({
    name,
    cells: summaries.map(said),
  });
  return {
    heads: plans.map(({ head }) => head),
    groups: [
      {
        name: 'Tasks',
        rows: [
          count('on time', ({ onTimeCount }) => words.number(onTimeCount)),
          count('late', ({ lateCount }) => words.number(lateCount)),
          count('left out', ({ leftOutCount, leftOutBurnCount }) =>
            leftOutBurnCount > 0
              ? `${leftOutCount}, ${words.count(leftOutBurnCount, 'burn')} among them`
              : String(leftOutCount),
          ),
        ],
      },
      ...seasonRows(summaries, operation.properties[0]?.burningSeasonStart ?? monthDay('07-01')),
      ...yearRows(summaries),
    ],
  };
}

function stateWords(deps: Deps, whatIf: WhatIf): string {
  const run = deps.whatIf.run();
  if (isAtWork(run) && run?.whatIfId === whatIf.id) return 'being searched';
  if (deps.whatIf.waiting().includes(whatIf.id)) return 'waits to be searched';
  if (run?.whatIfId === whatIf.id && run.state === 'failed') return 'its search failed';
  return whatIf.solved ? `searched ${words.instant(whatIf.solved.at)}` : 'not searched yet';
}

/** Those ticked, else the newest ones; at most four that were searched. */
function comparedOf(all: readonly WhatIf[], query: Record<string, string | undefined>): WhatIf[] {
  const solved = all.filter((one) => one.solved !== null);
  const ticked = solved.filter(({ id }) => query[`with-${id}`] !== undefined);
  return (ticked.length > 0 ? ticked : solved.slice(-comparedMost)).slice(0, comparedMost);
}

/** `/what-if`: all of them, and up to four side by side with the plan in force. */
export function whatIfsPage(
  deps: Deps,
  query: Record<string, string | undefined>,
  form: FormState = blankForm,
): WhatIfsPage {
  const operation = deps.operation();
  const all = deps.whatIf.list();
  const compared = comparedOf(all, query);
  const asked = compared.filter(({ id }) => query[`with-${id}`] !== undefined);
  const run = runView(deps, all);
  return {
    shell: shellOf(deps, 'plan', title),
    lines: all.map((whatIf) => ({
      id: whatIf.id,
      path: pathOf(whatIf.id),
      name: whatIf.name,
      changes: whatIf.changes.map((change) => whatIfWords(operation, change)),
      state: stateWords(deps, whatIf),
      isCompared: compared.includes(whatIf),
      isSolved: whatIf.solved !== null,
    })),
    comparison: compared.length > 0 ? comparisonOf(deps, operation, compared) : null,
    hasInForce: deps.plans.inForce() !== null,
    run,
    isBusy: isAtWork(run),
    path: `/what-if${asked.length > 0 ? `?${asked.map(({ id }) => `with-${id}=on`).join('&')}` : ''}`,
    form,
    cautions: cautionsOf(deps, operation),
  };
}

/** Cautions of all that the plan in force has: a what-if is of the same work. */
function cautionsOf(deps: Deps, operation: Operation): Caution[] {
  const tasks = deps.plans.inForce()?.content.tasks ?? [];
  return cautionsFor(
    operation,
    tasks.map(({ treatmentKey }) => treatmentKey),
  );
}

function formViews(
  operation: Operation,
  refused: { key: string; form: FormState } | null,
): ChangeFormView[] {
  return Object.entries(changeForms).map(([key, { title, note, fields }]) => {
    const options = fields.map((field) => field.options?.(operation) ?? null);
    return {
      key,
      title,
      note,
      fields: fields.map((field, at) => ({ ...field, options: options[at] ?? null })),
      form: refused?.key === key ? refused.form : blankForm,
      isOpen: refused?.key === key,
      isEmpty: options.some((list) => list?.length === 0),
    };
  });
}

/** What was refused on the page of one what-if: a short form, or the form of the search. */
export type Refused = { key: string; form: FormState } | null;

/** `/what-if/ID`: its changes, its search and what came of it. */
export function whatIfPage(deps: Deps, id: number, refused: Refused = null): WhatIfPage {
  const operation = deps.operation();
  const whatIf = whatIfAt(deps, id);
  const content = whatIf.solved ? deps.whatIf.plan(id) : null;
  const run = runView(deps, deps.whatIf.list());
  const leftOut = content?.leftOut ?? [];
  const codeOf = (unitId: number | null, blockId: number) =>
    operation.units.find((unit) => unit.id === unitId)?.code ??
    operation.blocks.find((block) => block.id === blockId)?.code ??
    '';
  const start = { seconds: '10', seed: '1' };
  const asked = refused?.key === 'search' ? refused.form : blankForm;
  return {
    shell: shellOf(deps, 'plan', `What if: ${whatIf.name}`),
    whatIf: { id, path: pathOf(id), name: whatIf.name },
    changes: whatIf.changes.map((change) => ({
      words: whatIfWords(operation, change),
      isSupposed: isSupposed(change),
    })),
    run: run && (run.whatIfId === id || isAtWork(run)) ? run : null,
    isBusy: isAtWork(run),
    isWaiting: deps.whatIf.waiting().includes(id),
    comparison: whatIf.solved ? comparisonOf(deps, operation, [whatIf]) : null,
    leftOut: leftOut.slice(0, leftOutMost).map(({ name, unitId, blockId, reason }) => ({
      name,
      place: codeOf(unitId, blockId),
      reason,
    })),
    leftOutMore: Math.max(0, leftOut.length - leftOutMost),
    changedSince: deps.whatIf.changedSince(id),
    canAdopt: whatIf.solved !== null && !whatIf.changes.some(isSupposed),
    isSupposed: whatIf.changes.some(isSupposed),
    searchForm: { ...asked, values: { ...start, ...asked.values } },
    changesForm: refused?.key === 'changes' ? refused.form : blankForm,
    forms: formViews(operation, refused),
    cautions: cautionsFor(operation, content?.tasks.map(({ treatmentKey }) => treatmentKey) ?? []),
  };
}

/** `/what-if/ID/adoption`: what would be written. Throws 404 for one that can not be adopted as it stands. */
export function whatIfAdoptionPage(
  deps: Deps,
  id: number,
  form: FormState = blankForm,
): WhatIfAdoptionPage {
  const operation = deps.operation();
  const whatIf = whatIfAt(deps, id);
  if (whatIf.solved === null || whatIf.changes.some(isSupposed))
    throw new PageError(404, 'This what-if can not be adopted as it stands.');
  return {
    shell: shellOf(deps, 'plan', `Adopt ${whatIf.name}?`),
    whatIf: { id, path: pathOf(id), name: whatIf.name },
    changes: whatIf.changes.map((change) => whatIfWords(operation, change)),
    said: saidOf(operation, whatIf),
    hasDraft: deps.plans.draft() !== null,
    form,
    cautions: cautionsOf(deps, operation),
  };
}
