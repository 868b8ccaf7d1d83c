import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { fuelPage } from '../pages/fuel.ts';

/** `/fuel`: drought, dead fuel and daylight at a property. */
export function registerFuel(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>('/fuel', async (request, reply) =>
    renderPane(request, reply, { page: 'fuel/show' }, fuelPage(deps, request.query)),
  );
}
