import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { postForm, seeOther } from '../forms/form.ts';
import { propertyForm } from '../forms/land.ts';
import { readUpload } from '../forms/upload.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { canStartOver, importPage, landPage, samplePage, startPage } from '../pages/land.ts';

const wouldLose: Problem = {
  code: 'would-lose-land',
  message: 'Your own land is loaded and would be lost. Start with an empty database file instead.',
};

function zoneProblems(timeZone: string): Problem[] {
  try {
    new Intl.DateTimeFormat('en', { timeZone });
    return [];
  } catch {
    const message = 'Time zone: write a name such as America/Chicago or America/Denver.';
    return [{ code: 'time-zone', field: 'timeZone', message }];
  }
}

function registerStart(app: FastifyInstance, deps: Deps): void {
  app.get('/land/start', async (request, reply) =>
    renderPane(request, reply, { page: 'land/start' }, startPage(deps)),
  );
  postForm(app, '/land/start', propertyForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    if (!canStartOver(deps)) problems = [wouldLose];
    else if (submission.ok) {
      const values = { ...submission.values, state: submission.values.state.toUpperCase() };
      problems = zoneProblems(values.timeZone);
      if (problems.length === 0) {
        const started = deps.land.startOwn(values);
        if (started.ok) return seeOther(reply, '/land/import');
        problems = started.problems;
      }
    }
    reply.code(422);
    const page = startPage(deps, { ...submission.form, problems });
    return renderPane(request, reply, { page: 'land/start' }, page);
  });
  app.get('/land/sample', async (request, reply) =>
    renderPane(request, reply, { page: 'land/sample' }, samplePage(deps)),
  );
  postForm(app, '/land/sample', buttonForm, async (_submission, request, reply) => {
    const problems = canStartOver(deps) ? deps.land.loadSample() : [wouldLose];
    if (problems.length === 0) return seeOther(reply, '/');
    reply.code(422);
    return renderPane(request, reply, { page: 'land/sample' }, samplePage(deps, problems));
  });
}

async function importFile(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<string> {
  const upload = await readUpload(request);
  const { propertyId = '', text: typed = '' } = upload.fields;
  const values = { propertyId, text: typed };
  const pastedName = upload.text.trimStart().startsWith('{') ? 'pasted.geojson' : 'pasted.csv';
  const show = (page: ReturnType<typeof importPage>) =>
    renderPane(request, reply, { page: 'land/import' }, page);
  const property = deps.operation().properties.find((one) => String(one.id) === propertyId);
  const problems: Problem[] = [];
  if (!property)
    problems.push({
      code: 'no-property',
      field: 'propertyId',
      message: 'Property: choose one of the list.',
    });
  if (upload.text.trim() === '')
    problems.push({
      code: 'no-text',
      field: 'text',
      message: 'File or text: choose a file or paste its text.',
    });
  if (!property || problems.length > 0) {
    reply.code(422);
    return show(importPage(deps, { problemCount: problems.length, form: { values, problems } }));
  }
  const done = deps.land.importUnits(property.id, upload.fileName || pastedName, upload.text);
  if (done.problemCount === 0)
    return show(importPage(deps, { imported: done.imported, form: { values: {}, problems: [] } }));
  reply.code(422);
  const form = { values, problems: done.problems };
  return show(importPage(deps, { problemCount: done.problemCount, form }));
}

/** `/land`: properties and landowners, beginning anew, and units from a file. */
export function registerLand(app: FastifyInstance, deps: Deps): void {
  app.get('/land', async (request, reply) =>
    renderPane(request, reply, { page: 'land/list' }, landPage(deps)),
  );
  app.get('/land/import', async (request, reply) =>
    renderPane(request, reply, { page: 'land/import' }, importPage(deps)),
  );
  app.post('/land/import', (request, reply) => importFile(deps, request, reply));
  registerStart(app, deps);
}
