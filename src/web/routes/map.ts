import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { mapPage } from '../pages/map.ts';

/** `/map`: the land drawn from its boundaries, with what needs a look. */
export function registerMap(app: FastifyInstance, deps: Deps): void {
  app.get('/map', async (request, reply) => {
    const { property, show } = request.query as Record<string, unknown>;
    const page = mapPage(deps, { property: String(property ?? ''), show: String(show ?? '') });
    return renderPane(request, reply, { page: 'map/show' }, page);
  });
}
