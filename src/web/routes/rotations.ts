import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { rotationQuery, rotationsPage } from '../pages/rotations.ts';

/** `/rotations`: the interval of every block, and what the intervals ask in acres a year. */
export function registerRotations(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>('/rotations', (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'rotations/list' },
      rotationsPage(deps, rotationQuery(request.query), request.query['page']),
    ),
  );
}
