import type { FastifyInstance } from 'fastify';
import type { IsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { idOf, postForm, seeOther } from '../forms/form.ts';
import { buttonForm, signOutForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { todayOf } from '../pages/shell.ts';
import { entryOf, entryPage, worklogPage } from '../pages/worklog.ts';

type Query = Record<string, string | undefined>;

const signOutTitle = 'When was the burn out?';
const removeTitle = 'Remove this entry?';

/** The entry again with its last day of watch, in place of the open one. */
function signOut(deps: Deps, entry: WorkEntry, signedOutOn: IsoDate): Problem[] {
  if (signedOutOn < entry.doneOn)
    return [
      {
        code: 'signed-out-early',
        field: 'signedOutOn',
        message: 'Signed out on: write the day of the burn or a later one.',
      },
    ];
  const { id, ...facts } = entry;
  const recorded = deps.worklog.record({ ...facts, signedOutOn });
  return recorded.ok ? deps.worklog.remove(id) : recorded.problems;
}

function registerSignOut(app: FastifyInstance, deps: Deps): void {
  app.get('/worklog/:id/sign-out', async (request, reply) => {
    const form = { values: { signedOutOn: todayOf(deps) }, problems: [] };
    const page = entryPage(deps, idOf(request), signOutTitle, form);
    return renderPane(request, reply, { page: 'worklog/sign-out' }, page);
  });
  postForm(app, '/worklog/:id/sign-out', signOutForm, async (submission, request, reply) => {
    const entry = entryOf(deps, idOf(request));
    const problems = submission.ok
      ? signOut(deps, entry, submission.values.signedOutOn as IsoDate)
      : submission.form.problems;
    if (problems.length === 0) return seeOther(reply, '/');
    reply.code(422);
    const page = entryPage(deps, entry.id, signOutTitle, { ...submission.form, problems });
    return renderPane(request, reply, { page: 'worklog/sign-out' }, page);
  });
}

/** `/worklog`: entries with filters; removing one and signing a burn out each ask on a page of their own. */
export function registerWorklog(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/worklog', (request, reply) =>
    renderPane(request, reply, { page: 'worklog/list' }, worklogPage(deps, request.query)),
  );
  app.get<{ Querystring: Query }>('/worklog/new', async (request, reply) => {
    const unitId = request.query['unit'] ?? '';
    const isUnit = deps.operation().units.some((unit) => String(unit.id) === unitId);
    return seeOther(reply, isUnit ? `/units/${unitId}#log` : '/worklog');
  });
  app.get('/worklog/:id/remove', async (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'worklog/remove' },
      entryPage(deps, idOf(request), removeTitle),
    ),
  );
  postForm(app, '/worklog/:id/remove', buttonForm, async (submission, request, reply) => {
    const entry = entryOf(deps, idOf(request));
    const problems = deps.worklog.remove(entry.id);
    if (problems.length === 0) return seeOther(reply, '/worklog');
    reply.code(422);
    const page = entryPage(deps, entry.id, removeTitle, { ...submission.form, problems });
    return renderPane(request, reply, { page: 'worklog/remove' }, page);
  });
  registerSignOut(app, deps);
}
