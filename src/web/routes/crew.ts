import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Static } from 'typebox';
import type { Problem } from '../../core/problems.ts';
import type { PublishedTask } from '../../core/publication.ts';
import { sharedByAcres } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { reportForm } from '../forms/crew.ts';
import { postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { draftOf, noWorkAnswer } from '../forms/worklog.ts';
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

/** A fact for each unit, all of them or none. A burn stays open until it is signed out in the work log. */
function record(deps: Deps, row: PublishedTask, report: Report): Problem[] {
  const operation = deps.operation();
  const ids = unitIdsOf(deps, row, report);
  const units = operation.units.filter((one) => ids.includes(one.id));
  const [first] = units;
  if (!first) return [{ code: 'report-unit', message: 'The land of this task was taken out.' }];
  const { draft, problems } = draftOf(operation, {
    ...report,
    unitId: first.id,
    treatmentKey: row.entry.treatmentKey ?? '',
    ...(row.taskKey === null ? {} : { taskKey: row.taskKey }),
    note: report.note?.trim() || 'By the crew, from its own page.',
  });
  if (problems.length > 0) return problems;
  const drafts = units.length > 1 ? sharedByAcres(draft, units) : [draft];
  const entries = drafts.map(({ entry }) => entry);
  const answer = noWorkAnswer(operation, entries, report);
  if (answer.problems.length > 0) return answer.problems;
  const written = deps.worklog.write(
    drafts.map(({ entry, detail }) => ({ entry, detail: { ...detail, noWork: answer.note } })),
    report.sendKey || null,
  );
  return written.ok ? [] : written.problems;
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
    // A phone without signal sends again what may have come: the task is closed by the first then.
    const key = submission.ok ? submission.values.sendKey : undefined;
    if (key && deps.worklog.wasSent(key)) return seeOther(reply, `/crew/${token}/tasks/${uid}`);
    let { problems } = submission.form;
    if (submission.ok) problems = problemsOf(deps, row, submission.values);
    if (submission.ok && problems.length === 0) problems = record(deps, row, submission.values);
    if (problems.length === 0) return seeOther(reply, `/crew/${token}/tasks/${uid}`);
    privately(reply).code(refusalStatus(problems));
    const form = { ...submission.form, problems };
    return renderPane(request, reply, template, { ...shown, form });
  });
}
