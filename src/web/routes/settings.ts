import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Static } from 'typebox';
import type { Weights } from '../../core/costs.ts';
import type { CrewChange } from '../../core/crews.ts';
import { type IsoDate, parseMonthDay, yearOf } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { Property } from '../../core/properties.ts';
import { usualAnchors } from '../../core/season/anchor-defaults.ts';
import { anchorNames } from '../../core/seasons.ts';
import type { Deps } from '../deps.ts';
import {
  changedMeanwhile,
  type FormState,
  idOf,
  postForm,
  refusalStatus,
  seeOther,
} from '../forms/form.ts';
import { anchorsForm, crewForm, fitDaysForm, supplyForm, weightsForm } from '../forms/settings.ts';
import { parseSpans } from '../forms/spans.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { settingsForms, settingsPage } from '../pages/settings.ts';
import { todayAt } from '../pages/shell.ts';
import { PageError } from '../plugins/errors.ts';
import { anchorWords, monthNames } from '../words.ts';

/** What others saved of a form while it was open. */
function conflictsOf(
  deps: Deps,
  request: FastifyRequest,
  id: string,
  labels: Record<string, string>,
): Problem[] {
  const form = settingsForms(settingsPage(deps)).find((one) => one.id === id);
  return form ? changedMeanwhile(request, form.state.values, labels) : [];
}

/** Back to the form that was saved, or the page again with what is wrong. */
async function answer(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  id: string,
  form: FormState,
  problems: Problem[],
): Promise<unknown> {
  if (problems.length === 0) return seeOther(reply, `/settings#${id}`);
  reply.code(refusalStatus(problems));
  const page = settingsPage(deps, { id, state: { ...form, problems } });
  return renderPane(request, reply, { page: 'settings/show' }, page);
}

function registerFigures(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/settings/weights', weightsForm, async (submission, request, reply) => {
    const { settings } = deps.operation();
    let { problems } = submission.form;
    if (submission.ok) problems = conflictsOf(deps, request, 'weights', weightsForm.labels);
    if (submission.ok && problems.length === 0)
      problems = deps.land.updateSettings({
        ...settings,
        weights: submission.values as unknown as Weights,
      });
    return answer(deps, request, reply, 'weights', submission.form, problems);
  });
  postForm(app, '/settings/supply', supplyForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    if (submission.ok) problems = conflictsOf(deps, request, 'supply', supplyForm.labels);
    if (submission.ok && problems.length === 0) {
      const { values } = submission;
      problems = deps.land.updateSettings({
        ...deps.operation().settings,
        supply: {
          level: values.level,
          weekdayShare: values.weekdayPercent / 100,
          usedShare: values.usedPercent / 100,
        },
        seasonsAfter: values.seasonsAfter,
        shareBlackPercentLeast: values.shareBlackPercentLeast,
      });
    }
    return answer(deps, request, reply, 'supply', submission.form, problems);
  });
}

type AnchorValues = Record<string, string | null>;

function anchorProblems(values: AnchorValues, year: number): Problem[] {
  return anchorNames.flatMap((anchor): Problem[] => {
    const problems: Problem[] = [];
    const usual = `usual-${anchor}`;
    const observed = `observed-${anchor}`;
    if (!parseMonthDay(values[usual] ?? ''))
      problems.push({
        code: 'month-day',
        field: usual,
        message: `${anchorWords[anchor]}, usual: write month and day, such as 04-12.`,
      });
    const date = values[observed] as IsoDate | null;
    if (date && yearOf(date) !== year)
      problems.push({
        code: 'other-year',
        field: observed,
        message: `${anchorWords[anchor]}, this year: write a day of ${year}.`,
      });
    return problems;
  });
}

/** What differs from before, as one change. */
function anchorChanges(
  property: Property,
  values: AnchorValues,
  year: number,
): Parameters<Deps['land']['setAnchors']>[1] {
  return anchorNames.flatMap((anchor) => {
    const usual = values[`usual-${anchor}`] ?? '';
    const date = (values[`observed-${anchor}`] ?? null) as IsoDate | null;
    // A computed day stands aside for an observed one, and stays when none was written.
    const own = property.anchors.byYear.find(
      (row) => row.anchor === anchor && row.year === year && row.how === 'observed',
    );
    return [
      ...(usual === property.anchors.usual[anchor] ? [] : [{ anchor, value: { usual } }]),
      ...(date === (own?.date ?? null)
        ? []
        : [{ anchor, value: { year, date, how: 'observed' as const } }]),
    ];
  });
}

function crewChange(values: Static<typeof crewForm.schema>): {
  change: CrewChange;
  problems: Problem[];
} {
  const daysOff = parseSpans(values.daysOff, 'daysOff', crewForm.labels['daysOff'] ?? '');
  const onSpans = parseSpans(values.onSpans, 'onSpans', crewForm.labels['onSpans'] ?? '');
  const workdays = [...new Set(values.workdays ?? [])].sort();
  const problems = [...daysOff.problems, ...onSpans.problems];
  if (workdays.length === 0)
    problems.push({
      code: 'no-workday',
      field: 'workdays',
      message: 'Workdays: tick at least one day of the week.',
    });
  return {
    problems,
    change: {
      name: values.name,
      peopleCount: values.peopleCount,
      spreadDaysPerWeek: values.spreadDaysPerWeek,
      costPerDayUsd: values.costPerDayUsd,
      workdays,
      daysOff: daysOff.ranges,
      onSpans: onSpans.ranges.length > 0 ? onSpans.ranges : null,
    },
  };
}

/** The usual days of all anchors as they were when the property was new, by its latitude; observed days stay. */
function registerAnchorDefaults(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/settings/anchors/:id/default', buttonForm, async (submission, request, reply) => {
    const property = deps.operation().properties.find((one) => one.id === idOf(request));
    if (!property) throw new PageError(404, 'There is no property at this address.');
    const { usual } = usualAnchors(property.latitude);
    const problems = deps.land.setAnchors(
      property.id,
      anchorNames.map((anchor) => ({ anchor, value: { usual: usual[anchor] } })),
      request.isSure,
    );
    const values = Object.fromEntries(anchorNames.map((name) => [`usual-${name}`, usual[name]]));
    const form = { ...submission.form, values };
    return answer(deps, request, reply, `anchors-${property.id}`, form, problems);
  });
}

function registerPeopleAndSeasons(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/settings/anchors/:id', anchorsForm, async (submission, request, reply) => {
    const property = deps.operation().properties.find((one) => one.id === idOf(request));
    if (!property) throw new PageError(404, 'There is no property at this address.');
    const year = yearOf(todayAt(deps, property));
    let { problems } = submission.form;
    if (submission.ok) {
      const values = submission.values as AnchorValues;
      problems = anchorProblems(values, year);
      if (problems.length === 0)
        problems = conflictsOf(deps, request, `anchors-${property.id}`, anchorsForm.labels);
      if (problems.length === 0)
        problems = deps.land.setAnchors(
          property.id,
          anchorChanges(property, values, year),
          request.isSure,
        );
    }
    return answer(deps, request, reply, `anchors-${property.id}`, submission.form, problems);
  });
  postForm(app, '/settings/crews/:id', crewForm, async (submission, request, reply) => {
    const crewId = idOf(request);
    if (!deps.operation().crews.some((crew) => crew.id === crewId))
      throw new PageError(404, 'There is no crew at this address.');
    let { problems } = submission.form;
    if (submission.ok) {
      const read = crewChange(submission.values);
      problems = read.problems;
      if (problems.length === 0)
        problems = conflictsOf(deps, request, `crew-${crewId}`, crewForm.labels);
      if (problems.length === 0)
        problems = deps.land.updateCrew(crewId, read.change, request.isSure);
    }
    return answer(deps, request, reply, `crew-${crewId}`, submission.form, problems);
  });
}

function registerFitDays(app: FastifyInstance, deps: Deps): void {
  const keyOf = (request: FastifyRequest) => {
    const { key } = request.params as { key: string };
    if (!deps.operation().fitDays.some((table) => table.prescriptionKey === key))
      throw new PageError(404, 'There is no fit-day table at this address.');
    return key;
  };
  postForm(app, '/settings/fit-days/:key', fitDaysForm, async (submission, request, reply) => {
    const key = keyOf(request);
    let { problems } = submission.form;
    if (submission.ok) {
      const values = submission.values as Record<string, number>;
      problems = conflictsOf(deps, request, `fit-${key}`, fitDaysForm.labels);
      if (problems.length > 0)
        return answer(deps, request, reply, `fit-${key}`, submission.form, problems);
      problems = deps.land.setFitDays(
        key,
        monthNames.map((_, at) => values[`m${at + 1}`] ?? 0),
      );
    }
    return answer(deps, request, reply, `fit-${key}`, submission.form, problems);
  });
  postForm(
    app,
    '/settings/fit-days/:key/default',
    buttonForm,
    async (submission, request, reply) => {
      const key = keyOf(request);
      const problems = deps.land.setFitDays(key, null);
      return answer(deps, request, reply, `fit-${key}`, submission.form, problems);
    },
  );
}

/** `/settings`: every figure the plan uses that is not on a unit, each with where it comes from. */
export function registerSettings(app: FastifyInstance, deps: Deps): void {
  app.get('/settings', async (request, reply) =>
    renderPane(request, reply, { page: 'settings/show' }, settingsPage(deps)),
  );
  registerFigures(app, deps);
  registerPeopleAndSeasons(app, deps);
  registerAnchorDefaults(app, deps);
  registerFitDays(app, deps);
}
