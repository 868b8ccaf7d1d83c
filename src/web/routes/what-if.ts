import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import { whatIfWords } from '../../core/what-if.ts';
import type { Deps } from '../deps.ts';
import { type FormState, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { draftForm } from '../forms/plan.ts';
import { adoptForm, changeForms, dropChangeForm, whatIfForm } from '../forms/what-if.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { todayOf } from '../pages/shell.ts';
import { saidOf, whatIfAdoptionPage, whatIfAt, whatIfPage, whatIfsPage } from '../pages/what-if.ts';

type Query = Record<string, string | undefined>;

const listTemplate = { page: 'what-if/list', pane: 'what-if/_list' };
const oneTemplate = { page: 'what-if/show', pane: 'what-if/_show' };
const adoptionTemplate = { page: 'what-if/adoption' };

const changedMeanwhile: Problem = {
  code: 'changed-meanwhile',
  message: 'Somebody changed this what-if meanwhile: look at its changes as they are now.',
};

/** The page of one what-if again, with what was wrong with one of its forms. */
function refuse(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  key: string,
  form: FormState,
): Promise<string> {
  reply.code(refusalStatus(form.problems));
  const model = whatIfPage(deps, idOf(request), { key, form });
  return renderPane(request, reply, { page: oneTemplate.page }, model);
}

function registerChanges(app: FastifyInstance, deps: Deps): void {
  for (const [key, { form, changeOf }] of Object.entries(changeForms))
    postForm(app, `/what-if/:id/changes/${key}`, form, async (submission, request, reply) => {
      const { id } = whatIfAt(deps, idOf(request));
      const problems = submission.ok
        ? deps.whatIf.addChange(id, changeOf(submission.values, todayOf(deps)))
        : submission.form.problems;
      if (problems.length === 0) return seeOther(reply, `/what-if/${id}`);
      return refuse(deps, request, reply, key, { ...submission.form, problems });
    });
  postForm(app, '/what-if/:id/changes/out', dropChangeForm, async (submission, request, reply) => {
    const { id, changes } = whatIfAt(deps, idOf(request));
    const { at, said } = submission.ok ? submission.values : { at: -1, said: '' };
    const change = changes[at];
    const isSame = change && whatIfWords(deps.operation(), change) === said;
    const problems = isSame ? deps.whatIf.dropChange(id, at) : [changedMeanwhile];
    if (problems.length === 0) return seeOther(reply, `/what-if/${id}`);
    return refuse(deps, request, reply, 'changes', { values: {}, problems });
  });
}

function registerSearch(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/what-if/:id/search', draftForm, async (submission, request, reply) => {
    const { id } = whatIfAt(deps, idOf(request));
    const problems = submission.ok
      ? deps.whatIf.search(id, submission.values)
      : submission.form.problems;
    if (problems.length === 0) return seeOther(reply, `/what-if/${id}`);
    return refuse(deps, request, reply, 'search', { ...submission.form, problems });
  });
  postForm(app, '/what-if/stop', buttonForm, async (_submission, _request, reply) => {
    deps.whatIf.stop();
    return seeOther(reply, '/what-if');
  });
}

function registerAdoption(app: FastifyInstance, deps: Deps): void {
  app.get('/what-if/:id/adoption', async (request, reply) =>
    renderPane(request, reply, adoptionTemplate, whatIfAdoptionPage(deps, idOf(request))),
  );
  postForm(app, '/what-if/:id/adoption', adoptForm, async (submission, request, reply) => {
    const whatIf = whatIfAt(deps, idOf(request));
    // A text field sends its lines apart by CR and LF.
    const said = (request.typed['said'] ?? '').replaceAll('\r\n', '\n');
    const isSame = submission.ok && said === saidOf(deps.operation(), whatIf);
    const problems = isSame ? deps.whatIf.adopt(whatIf.id) : [changedMeanwhile];
    if (problems.length === 0) return seeOther(reply, '/plan');
    reply.code(refusalStatus(problems));
    const model = whatIfAdoptionPage(deps, whatIf.id, { values: {}, problems });
    return renderPane(request, reply, adoptionTemplate, model);
  });
}

/** `/what-if`: changes tried on the operation as a whole, compared, and one adopted. */
export function registerWhatIf(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/what-if', async (request, reply) =>
    renderPane(request, reply, listTemplate, whatIfsPage(deps, request.query)),
  );
  postForm(app, '/what-if', whatIfForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    if (submission.ok) {
      const added = deps.whatIf.add(submission.values.name.trim());
      if (added.ok) return seeOther(reply, `/what-if/${added.value}`);
      problems = added.problems;
    }
    reply.code(refusalStatus(problems));
    const model = whatIfsPage(deps, {}, { ...submission.form, problems });
    return renderPane(request, reply, { page: listTemplate.page }, model);
  });
  app.get('/what-if/:id', async (request, reply) =>
    renderPane(request, reply, oneTemplate, whatIfPage(deps, idOf(request))),
  );
  postForm(app, '/what-if/:id/removal', buttonForm, async (_submission, request, reply) => {
    deps.whatIf.remove(whatIfAt(deps, idOf(request)).id);
    return seeOther(reply, '/what-if');
  });
  registerChanges(app, deps);
  registerSearch(app, deps);
  registerAdoption(app, deps);
}
