import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { noWorkPage, noWorkQuery } from '../pages/no-work.ts';

/** `/no-work`: every rule, and the year of one treatment on one unit. */
export function registerNoWork(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>('/no-work', (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'no-work/show' },
      noWorkPage(deps, noWorkQuery(request.query)),
    ),
  );
}
