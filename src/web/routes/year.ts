import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { shellOf, todayAt } from '../pages/shell.ts';
import { yearModel, yearQuery } from '../pages/year.ts';

/** The calendar of every unit: `/year?from=YYYY-MM&months=12|18|24|36&property=ID&community=KEY`. */
export function registerYear(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>('/year', async (request, reply) => {
    const operation = deps.operation();
    const asked = operation.properties.find(
      (property) => String(property.id) === request.query['property'],
    );
    const today = todayAt(deps, asked ?? operation.properties[0]);
    const plan = deps.plans.inForce() ?? deps.plans.draft();
    const query = yearQuery(request.query, operation, today);
    const model = yearModel(operation, plan, query, today);
    const shell = shellOf(deps, 'year', 'What comes when on each unit?');
    return renderPane(request, reply, { page: 'year/show' }, { ...model, shell });
  });
}
