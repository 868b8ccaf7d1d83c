import type { FastifyInstance } from 'fastify';
import type { Deps } from '../deps.ts';
import { idOf } from '../forms/form.ts';
import { renderPane } from '../htmx.ts';
import { contractPage, contractsPage, contractTable } from '../pages/contracts.ts';
import { sendTable } from './table-file.ts';

/** `/contracts`: cost-share contracts with their dates, and the summary of one for its office. */
export function registerContracts(app: FastifyInstance, deps: Deps): void {
  app.get('/contracts', (request, reply) =>
    renderPane(request, reply, { page: 'contracts/list' }, contractsPage(deps)),
  );
  app.get('/contracts/:id', (request, reply) =>
    renderPane(request, reply, { page: 'contracts/show' }, contractPage(deps, idOf(request))),
  );
  app.get('/contracts/:id/summary.csv', (request, reply) => {
    const id = idOf(request);
    const text = deps.files.csvText(contractTable(deps, id));
    return sendTable(reply, `contract-${id}.csv`, text);
  });
}
