import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { blockFitDaysModel } from '../pages/block-fit-days.ts';
import { burnDaysModel } from '../pages/burn-days.ts';
import { shellOf, todayOf } from '../pages/shell.ts';

/** Where the fit days come from: `/burn-days?prescription=KEY&station=NAME`, and those of one block. */
export function registerBurnDays(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>(
    '/burn-days',
    async (request, reply) => {
      const plan = deps.plans.inForce() ?? deps.plans.draft();
      const today = todayOf(deps);
      const model = burnDaysModel(deps.operation(), plan, deps.weather, request.query, today);
      const shell = shellOf(deps, 'burn-days', 'How many days are likely fit to burn?');
      return renderPane(request, reply, { page: 'burn-days/show' }, { ...model, shell });
    },
  );
  app.get<{ Params: { id: string }; Querystring: Record<string, string | undefined> }>(
    '/burn-days/blocks/:id',
    async (request, reply) => {
      const id = Number(request.params.id);
      const found = deps.fitDays.ofBlock(id, request.query['station'] ?? null);
      const model = blockFitDaysModel(deps.operation(), id, found);
      const shell = shellOf(deps, 'burn-days', model.title);
      const views = { page: 'burn-days/block', pane: 'burn-days/_block' };
      return renderPane(request, reply, views, { ...model, shell });
    },
  );
}
