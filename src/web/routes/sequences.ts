import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { sequencesPage } from '../pages/sequences.ts';

/** `/sequences`: every sequence with its steps, lags and sources. */
export function registerSequences(app: FastifyInstance, deps: Deps): void {
  app.get('/sequences', async (request, reply) =>
    renderPane(request, reply, { page: 'sequences/list' }, sequencesPage(deps)),
  );
}
