import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { seeOther } from '../forms/form.ts';
import { renderPane } from '../htmx.ts';
import { todayPage } from '../pages/today.ts';

/** `/`: what can be done now; a landowner, who does nothing here, is led to the own units. */
export function registerToday(app: FastifyInstance, deps: Deps): void {
  app.get('/', async (request, reply) =>
    request.person?.role === 'landowner'
      ? seeOther(reply, '/units')
      : renderPane(request, reply, { page: 'today/show' }, todayPage(deps)),
  );
}
