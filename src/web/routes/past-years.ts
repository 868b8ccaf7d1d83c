import type { FastifyInstance } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { postForm, seeOther } from '../forms/form.ts';
import { planForm } from '../forms/plan.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { pastYearsPage } from '../pages/past-years.ts';

type Query = Record<string, string | undefined>;

const template = { page: 'past-years/show', pane: 'past-years/_pane' };

const planGone: Problem = {
  code: 'plan-gone',
  message: 'This plan is no longer there; look at the newest one below.',
};

/** `/past-years?plan=draft`: the plan run through the days of past years, with its start and stop. */
export function registerPastYears(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/past-years', async (request, reply) =>
    renderPane(request, reply, template, pastYearsPage(deps, request.query['plan'])),
  );
  postForm(app, '/past-years/runs', planForm, async (submission, request, reply) => {
    const planId = submission.ok ? submission.values.planId : 0;
    const isDraft = deps.plans.draft()?.id === planId;
    const isKnown = isDraft || deps.plans.inForce()?.id === planId;
    const started = isKnown ? deps.burns.pastYears.start(planId) : null;
    const path = isDraft ? '/past-years?plan=draft' : '/past-years';
    if (started?.ok) return seeOther(reply, path);
    reply.code(422);
    const problems = started && !started.ok ? started.problems : [planGone];
    const model = pastYearsPage(deps, isDraft ? 'draft' : undefined, problems);
    return renderPane(request, reply, { page: template.page }, model);
  });
  postForm(app, '/past-years/stop', buttonForm, async (_submission, _request, reply) => {
    deps.burns.pastYears.stop();
    return seeOther(reply, '/past-years');
  });
}
