import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Static } from 'typebox';
import type { IsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { PublishedTask } from '../../core/publication.ts';
import type { WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { reportForm } from '../forms/crew.ts';
import { postForm, seeOther } from '../forms/form.ts';
import { renderPane } from '../htmx.ts';
import { crewPage, crewTask, crewTaskPage, crewView, isOpenTask } from '../pages/crew.ts';
import { todayAt } from '../pages/shell.ts';

type Report = Static<typeof reportForm.schema>;

const paramsOf = (request: FastifyRequest) => request.params as { token: string; uid: string };

/** Units that a report is about: the one named, else all of the task that are still on record. */
function unitIdsOf(deps: Deps, row: PublishedTask, report: Report): number[] {
  if (report.unitId) return [report.unitId];
  const onRecord = deps.operation().units.map((unit) => unit.id);
  return row.entry.unitIds.filter((id) => onRecord.includes(id));
}

function problemsOf(deps: Deps, row: PublishedTask, report: Report): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `report-${field}`, field, message });
  const { properties } = deps.operation();
  const property = properties.find((one) => one.id === row.entry.propertyId);
  if (report.doneOn > todayAt(deps, property))
    say('doneOn', 'Last day: write today or an earlier day.');
  if (report.unitId && !row.entry.unitIds.includes(report.unitId))
    say('unitId', 'Unit: choose one of the list.');
  else if (report.areaAcres !== null && unitIdsOf(deps, row, report).length > 1)
    say('unitId', 'Unit: choose the one that the acres are of.');
  if (report.outcome === 'partly' && report.areaAcres === null)
    say('areaAcres', 'Acres done: write how many acres are done.');
  if (report.outcome === 'not-possible' && report.reason.trim() === '')
    say('reason', 'Reason: say in a few words why it was not possible.');
  if (!isOpenTask(row))
    problems.push({ code: 'report-closed', message: 'This task was closed meanwhile.' });
  return problems;
}

/** A fact for each unit. A burn stays open until it is signed out in the work log. */
function record(deps: Deps, row: PublishedTask, report: Report): Problem[] {
  const { entry } = row;
  const isFire = entry.family === 'burn' && report.outcome !== 'not-possible';
  for (const unitId of unitIdsOf(deps, row, report)) {
    const fact: Omit<WorkEntry, 'id'> = {
      unitId,
      treatmentKey: entry.treatmentKey ?? '',
      taskKey: row.taskKey,
      startedOn: null,
      doneOn: report.doneOn as IsoDate,
      precision: 'day',
      outcome: report.outcome,
      reason: report.reason.trim(),
      areaAcres: report.areaAcres,
      crewDays: null,
      personHours: null,
      shareBlackPercent: null,
      fireCause: isFire ? 'planned' : null,
      signedOutOn: null,
      note: 'By the crew, from its own page.',
    };
    const recorded = deps.worklog.record(fact);
    if (!recorded.ok) return recorded.problems;
  }
  return [];
}

function privately(reply: FastifyReply): FastifyReply {
  return reply.header('x-robots-tag', 'noindex');
}

/**
 * `/crew/:token`: a crew's own page, for a phone in the field. Whoever holds the link sees the tasks of this crew
 * and says how they went; nothing else is open to them.
 */
export function registerCrew(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'crew/task' };
  app.get('/crew/:token', async (request, reply) =>
    renderPane(
      request,
      privately(reply),
      { page: 'crew/list' },
      crewPage(deps, paramsOf(request).token),
    ),
  );
  app.get('/crew/:token/tasks/:uid', async (request, reply) => {
    const { token, uid } = paramsOf(request);
    return renderPane(request, privately(reply), template, crewTaskPage(deps, token, uid));
  });
  postForm(app, '/crew/:token/tasks/:uid', reportForm, async (submission, request, reply) => {
    const { token, uid } = paramsOf(request);
    const row = crewTask(crewView(deps, token), uid);
    const shown = crewTaskPage(deps, token, uid, submission.form);
    let { problems } = submission.form;
    if (submission.ok) problems = problemsOf(deps, row, submission.values);
    if (submission.ok && problems.length === 0) problems = record(deps, row, submission.values);
    if (problems.length === 0) return seeOther(reply, `/crew/${token}/tasks/${uid}`);
    privately(reply).code(422);
    const form = { ...submission.form, problems };
    return renderPane(request, reply, template, { ...shown, form });
  });
}
