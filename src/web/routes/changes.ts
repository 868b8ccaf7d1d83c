import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import Type from 'typebox';
import type { ChangeGroup } from '../../core/change-log.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { type Form, idOf, postForm, seeOther } from '../forms/form.ts';
import { renderPane } from '../htmx.ts';
import { changesPage, removedPage, undoPage } from '../pages/changes.ts';
import { PageError } from '../plugins/errors.ts';

/** A button, and whether the person is sure. */
const openSchema = Type.Object({});
const openForm: Form<typeof openSchema> = { schema: openSchema, labels: {} };

type Query = Record<string, string | undefined>;

/** What taking back is called in the log. */
const takenBack = ({ what, changes }: ChangeGroup): string =>
  changes.every(({ after }) => after === null)
    ? `Brought back. It was: ${what || 'a removal'}`
    : `Taken back: ${what || 'a change'}`;

/** The question, and the answer to it, for a whole group or one row of it. */
function registerUndo(
  app: FastifyInstance,
  deps: Deps,
  path: string,
  find: (id: number) => ChangeGroup | null,
): void {
  const groupFor = (request: FastifyRequest): ChangeGroup => {
    const group = find(idOf(request));
    if (!group || group.changes.length === 0)
      throw new PageError(404, 'There is no change at this address; it may be kept no longer.');
    return group;
  };
  const show = (
    request: FastifyRequest,
    reply: FastifyReply,
    outcome: { problems?: Problem[]; breaks?: Problem[] },
  ) => {
    const address = path.replace(':id', String(idOf(request)));
    const page = undoPage(deps, groupFor(request), address, outcome);
    return renderPane(request, reply, { page: 'changes/undo' }, page);
  };
  app.get(path, async (request, reply) => show(request, reply, {}));
  postForm(app, path, openForm, async (_submission, request, reply) => {
    const group = groupFor(request);
    const isSure = request.typed['isSure'] === 'yes';
    const answer = deps.changeLog.undo(group.changes, takenBack(group), isSure);
    if (answer.kind === 'saved') return seeOther(reply, '/changes');
    const { problems } = answer;
    const isConflict = problems.every(({ code }) => code === 'changed-since');
    reply.code(answer.kind === 'refused' && !isConflict ? 422 : 409);
    return show(request, reply, answer.kind === 'refused' ? { problems } : { breaks: problems });
  });
}

/** `/changes`: who changed what and when, taken back where nothing came since; `/removed`: what is gone, to bring back. */
export function registerChanges(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/changes', async (request, reply) =>
    renderPane(request, reply, { page: 'changes/list' }, changesPage(deps, request.query)),
  );
  app.get('/removed', async (request, reply) =>
    renderPane(request, reply, { page: 'changes/removed' }, removedPage(deps)),
  );
  registerUndo(app, deps, '/changes/:id/undo', deps.changeLog.group);
  registerUndo(app, deps, '/changes/rows/:id/undo', deps.changeLog.change);
}
