import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { crewDaysModel } from '../pages/crew-days.ts';
import { shellOf, todayOf } from '../pages/shell.ts';

/** Need against what is on hand: `/crew-days?crew=ID`. */
export function registerCrewDays(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>(
    '/crew-days',
    async (request, reply) => {
      const plan = deps.plans.inForce() ?? deps.plans.draft();
      const model = crewDaysModel(deps.operation(), plan, request.query['crew'], todayOf(deps));
      const shell = shellOf(deps, 'crew-days', 'Does the work fit the crews?');
      return renderPane(request, reply, { page: 'crew-days/show' }, { ...model, shell });
    },
  );
}
