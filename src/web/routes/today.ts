import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { todayPage } from '../pages/today.ts';

/** `/`: what can be done now. */
export function registerToday(app: FastifyInstance, deps: Deps): void {
  app.get('/', (request, reply) =>
    renderPane(request, reply, { page: 'today/show' }, todayPage(deps)),
  );
}
