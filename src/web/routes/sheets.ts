import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { crewTask, crewView } from '../pages/crew.ts';
import { crewSheet, sheetPage, weekSheetsPage } from '../pages/sheets.ts';

/** `/sheets`: a printed page a task, one by one or those of some days; a crew gets those of its own tasks by its link. */
export function registerSheets(app: FastifyInstance, deps: Deps): void {
  app.get('/sheets', async (request, reply) => {
    const { from, to, crew } = request.query as Record<string, unknown>;
    const page = weekSheetsPage(deps, {
      from: String(from ?? ''),
      to: String(to ?? ''),
      crew: String(crew ?? ''),
    });
    return renderPane(request, reply, { page: 'sheets/week' }, page);
  });
  // A task key holds slashes, and some servers in front undo their escapes.
  app.get('/sheets/*', async (request, reply) => {
    const { '*': key = '' } = request.params as Record<string, string>;
    return renderPane(request, reply, { page: 'sheets/show' }, sheetPage(deps, key));
  });
  app.get('/crew/:token/tasks/:uid/sheet', async (request, reply) => {
    const { token = '', uid = '' } = request.params as Record<string, string>;
    const row = crewTask(crewView(deps, token), uid);
    const page = crewSheet(deps, row.taskKey, `/crew/${token}`);
    reply.header('x-robots-tag', 'noindex');
    return renderPane(request, reply, { page: 'sheets/show' }, page);
  });
}
