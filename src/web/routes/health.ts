import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { healthPage } from '../pages/health.ts';

/** `/health`: for programs that watch the server, without a word about the land. `/this-server`: the same for people. */
export function registerHealth(app: FastifyInstance, deps: Deps): void {
  app.get('/health', async (request, reply) => {
    reply.type('text/plain; charset=utf-8').header('cache-control', 'no-store');
    try {
      deps.health.ask();
      return 'ok\n';
    } catch (error) {
      request.log.error(error);
      reply.code(503);
      return 'the database does not answer\n';
    }
  });
  app.get('/this-server', async (request, reply) =>
    renderPane(request, reply, { page: 'health/show' }, healthPage(deps)),
  );
}
