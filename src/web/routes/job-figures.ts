import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { jobFiguresPage } from '../pages/job-figures.ts';

/** `/job-figures`: what a job comes to by published formulas; the numbers are in the address, nothing is kept. */
export function registerJobFigures(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>('/job-figures', (request, reply) =>
    renderPane(request, reply, { page: 'job-figures/show' }, jobFiguresPage(deps, request.query)),
  );
}
