import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { morePage } from '../pages/more.ts';

/** `/more`: links to the rest, and the cautions. */
export function registerMore(app: FastifyInstance, deps: Deps): void {
  app.get('/more', async (request, reply) =>
    renderPane(request, reply, { page: 'more/show' }, morePage(deps)),
  );
}
