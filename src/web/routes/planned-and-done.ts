import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { plannedAndDonePage, plannedAndDoneTable } from '../pages/planned-and-done.ts';
import { sendTable } from './table-file.ts';

type Query = Record<string, string | undefined>;

/** `/planned-and-done`: one burning season by month and treatment, as a page and as a table. */
export function registerPlannedAndDone(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/planned-and-done', (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'planned-and-done/show' },
      plannedAndDonePage(deps, request.query['season']),
    ),
  );
  app.get<{ Querystring: Query }>('/planned-and-done.csv', (request, reply) => {
    const rows = plannedAndDoneTable(deps, request.query['season']);
    return sendTable(reply, 'planned-and-done.csv', deps.files.csvText(rows));
  });
}
