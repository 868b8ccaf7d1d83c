import { Readable } from 'node:stream';
import type { FastifyInstance } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { readUpload } from '../forms/upload.ts';
import { renderPane } from '../htmx.ts';
import { wholeOperationPage } from '../pages/whole-operation.ts';
import { PageError } from '../plugins/errors.ts';

type Query = Record<string, string | undefined>;

const page = { page: 'whole-operation/show' };

/** `/whole-operation`: everything as one document, out and in. */
export function registerWholeOperation(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/whole-operation', async (request, reply) => {
    const isTaken = request.query['taken'] === 'yes';
    const model = wholeOperationPage(deps, { problems: [], isTaken });
    return renderPane(request, reply, page, model);
  });
  app.get<{ Querystring: Query }>('/whole-operation/operation.json', async (request, reply) => {
    const text = deps.whole.document(request.query['weather'] === 'yes');
    if (!text) throw new PageError(404, 'A database in memory has no document.');
    return reply
      .header('cache-control', 'private, no-store')
      .header('content-disposition', 'attachment; filename="operation.json"')
      .type('application/json; charset=utf-8')
      .send(Readable.from(text));
  });
  app.post('/whole-operation', async (request, reply) => {
    const upload = await readUpload(request);
    const problems: Problem[] = [];
    if (upload.text.trim() === '') {
      const message = 'Document: choose the file operation.json.';
      problems.push({ code: 'no-document', field: 'document', message });
    }
    if (upload.fields['isSure'] !== 'yes') {
      const message = 'Tick that everything here is to be replaced.';
      problems.push({ code: 'not-sure', field: 'isSure', message });
    }
    const found = problems.length > 0 ? problems : deps.whole.take(upload.text);
    if (found.length === 0) return reply.redirect('/whole-operation?taken=yes', 303);
    reply.code(422);
    const model = wholeOperationPage(deps, { problems: found, isTaken: false });
    return renderPane(request, reply, page, model);
  });
}
