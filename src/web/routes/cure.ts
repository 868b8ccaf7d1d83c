import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { curePage } from '../pages/cure.ts';

/** `/cure`: felled fuel that dries for a burn. */
export function registerCure(app: FastifyInstance, deps: Deps): void {
  app.get('/cure', async (request, reply) =>
    renderPane(request, reply, { page: 'cure/show' }, curePage(deps)),
  );
}
