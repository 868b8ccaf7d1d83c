import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { IsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { type FormState, postForm, seeOther } from '../forms/form.ts';
import { draftForm, holdForm, planForm } from '../forms/plan.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { holdPage, planPage, refusedForm } from '../pages/plan.ts';

type Query = Record<string, string | undefined>;

const template = { page: 'plan/show', pane: 'plan/_pane' };

const draftGone: Problem = {
  code: 'draft-gone',
  message: 'This draft is no longer there; look at the newest one below.',
};

function refuse(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  form: FormState,
  problems: Problem[],
): Promise<string> {
  reply.code(422);
  return renderPane(
    request,
    reply,
    { page: template.page },
    planPage(deps, undefined, refusedForm(form, problems)),
  );
}

function registerDraft(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/plan/drafts', draftForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    if (submission.ok) {
      const started = deps.planning.start(submission.values);
      if (started.ok) return seeOther(reply, '/plan');
      problems = started.problems;
    }
    return refuse(deps, request, reply, submission.form, problems);
  });
  postForm(app, '/plan/stop', buttonForm, async (_submission, _request, reply) => {
    deps.planning.stop();
    return seeOther(reply, '/plan');
  });
  postForm(app, '/plan/adoption', planForm, async (submission, request, reply) => {
    const draft = deps.plans.draft();
    if (!submission.ok || draft?.id !== submission.values.planId)
      return refuse(deps, request, reply, { values: {}, problems: [] }, [draftGone]);
    const adopted = deps.plans.adopt(draft.id);
    if (adopted.ok) return seeOther(reply, '/plan');
    return refuse(deps, request, reply, { values: {}, problems: [] }, adopted.problems);
  });
  postForm(app, '/plan/discard', planForm, async (submission, request, reply) => {
    if (!submission.ok || deps.plans.draft()?.id !== submission.values.planId)
      return refuse(deps, request, reply, { values: {}, problems: [] }, [draftGone]);
    deps.plans.discard(submission.values.planId);
    return seeOther(reply, '/plan');
  });
}

/** `/plan`: the plan in force, drafts and held dates. */
export function registerPlan(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/plan', async (request, reply) =>
    renderPane(request, reply, template, planPage(deps, request.query['page'])),
  );
  registerDraft(app, deps);
  app.get<{ Querystring: Query }>('/plan/hold', async (request, reply) =>
    renderPane(request, reply, { page: 'plan/hold' }, holdPage(deps, request.query['task'] ?? '')),
  );
  postForm(app, '/plan/hold', holdForm, async (submission, request, reply) => {
    const taskKey = request.typed['taskKey'] ?? '';
    const shown = holdPage(deps, taskKey, submission.form);
    const problems = submission.ok
      ? deps.land.holdDates(taskKey, submission.values.startsOn as IsoDate | null)
      : submission.form.problems;
    if (problems.length === 0) return seeOther(reply, '/plan');
    reply.code(422);
    const form = { ...submission.form, problems };
    return renderPane(request, reply, { page: 'plan/hold' }, { ...shown, form });
  });
}
