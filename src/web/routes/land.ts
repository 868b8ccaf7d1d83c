import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { type FormState, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { propertyForm } from '../forms/land.ts';
import { stateNames, timeZoneFault } from '../forms/places.ts';
import { readUpload } from '../forms/upload.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { canStartOver, importPage, landPage, samplePage, startPage } from '../pages/land.ts';

const wouldLose: Problem = {
  code: 'would-lose-land',
  message: 'Your own land is loaded and would be lost. Start with an empty database file instead.',
};

/** What is wrong with the first property as typed: every field in one pass. */
function propertyProblems({ values, problems }: FormState): Problem[] {
  const say = (field: string, fault: string | null): Problem[] => {
    const isNamed = problems.some((one) => one.field === field);
    if (fault === null || isNamed) return [];
    const message = `${propertyForm.labels[field]}: ${fault}`;
    return [{ code: `property-${field}`, field, message }];
  };
  const isState = Object.hasOwn(stateNames, (values['state'] ?? '').toUpperCase());
  return [
    ...problems,
    ...say('state', isState ? null : 'write the two letters of a state or territory, such as MO.'),
    ...say('timeZone', timeZoneFault(values['timeZone'] ?? '')),
  ];
}

function registerStart(app: FastifyInstance, deps: Deps): void {
  app.get('/land/start', async (request, reply) =>
    renderPane(request, reply, { page: 'land/start' }, startPage(deps)),
  );
  postForm(app, '/land/start', propertyForm, async (submission, request, reply) => {
    let problems = propertyProblems(submission.form);
    if (!canStartOver(deps)) problems = [wouldLose];
    else if (submission.ok && problems.length === 0) {
      const values = { ...submission.values, state: submission.values.state.toUpperCase() };
      const started = deps.land.startOwn(values);
      if (started.ok) return seeOther(reply, '/land/import');
      problems = started.problems;
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
  const done = deps.land.importUnits(
    property.id,
    upload.fileName || pastedName,
    upload.text,
    upload.fields['saveAnyway'] === 'yes',
  );
  if (done.problemCount === 0)
    return show(importPage(deps, { imported: done.imported, form: { values: {}, problems: [] } }));
  reply.code(refusalStatus(done.problems));
  // The question whether to go on needs the text again, and the browser does not send a chosen file twice.
  const isAsked = done.problems.some(({ code }) => code === 'breaks-plan');
  const text = isAsked ? upload.text : typed;
  const form = { values: { propertyId, text }, problems: done.problems };
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
