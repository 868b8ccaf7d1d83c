import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import Type from 'typebox';
import type { Problem } from '../../core/problems.ts';
import type { ChangeAnswer } from '../../core/records.ts';
import type { Deps } from '../deps.ts';
import { type Form, postForm, seeOther } from '../forms/form.ts';
import type { Values } from '../forms/records/descriptor.ts';
import { type FormRow, kindAt, markOf, type RecordKind } from '../forms/records/kinds.ts';
import { renderPane } from '../htmx.ts';
import { rowChanges } from '../pages/changes.ts';
import {
  type FormOutcome,
  listPath,
  recordAskPage,
  recordFormPage,
  recordLandOf,
  recordListPage,
  recordQuery,
  retiredPage,
} from '../pages/records.ts';
import { PageError } from '../plugins/errors.ts';

/** The fields differ by noun, so the descriptors check them. */
const openSchema = Type.Object({});
const openForm: Form<typeof openSchema> = { schema: openSchema, labels: {} };

const param = (request: FastifyRequest, name: string) =>
  (request.params as Record<string, string>)[name] ?? '';

function kindFor(request: FastifyRequest): RecordKind {
  const kind = kindAt(param(request, 'kind'));
  if (!kind) throw new PageError(404, 'There is no page at this address.');
  return kind;
}

function rowFor(deps: Deps, kind: RecordKind, request: FastifyRequest): FormRow {
  const row = kind.find(recordLandOf(deps), param(request, 'id'));
  if (!row) throw new PageError(404, `There is no ${kind.one} in use at this address.`);
  return row;
}

/** Every field as typed; a box that is not ticked is blank, a fixed field is as stored. */
function typedValues(kind: RecordKind, typed: Values, row: FormRow | null): Values {
  return Object.fromEntries(
    kind.fieldsOf(typed).map(({ key, isFixed }) => {
      const text = isFixed && row ? row.values[key] : typed[key];
      return [key, (text ?? '').replaceAll('\r\n', '\n')];
    }),
  );
}

const goneProblem = (kind: RecordKind): Problem => ({
  code: 'row-gone',
  message: `This ${kind.one} went out of use while you wrote. Bring it back under Out of use, or save this as a new one.`,
});

function showForm(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  kind: RecordKind,
  row: FormRow | null,
  outcome: FormOutcome,
): Promise<string> {
  const page = recordFormPage(deps, kind, row, outcome);
  const changes = row && rowChanges(deps, kind.noun, row.id);
  return renderPane(request, reply, { page: 'records/form' }, { ...page, changes });
}

/** Saves a form, unless the row changed since it was opened; nothing typed is lost either way. */
async function saveForm(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  kind: RecordKind,
  id: string | null,
): Promise<unknown> {
  const land = recordLandOf(deps);
  const row = id === null ? null : kind.find(land, id);
  const values = typedValues(kind, request.typed, row);
  const show = (status: number, outcome: Omit<FormOutcome, 'values'>) => {
    reply.code(status);
    return showForm(deps, request, reply, kind, row, { values, ...outcome });
  };
  const action = request.typed['rearrange'];
  const moved = action === undefined ? undefined : kind.rearrange?.(values, action);
  if (moved) {
    const was = request.typed['was'] ?? '';
    return showForm(deps, request, reply, kind, row, { ...moved, was });
  }
  if (id !== null && row === null) return show(409, { problems: [goneProblem(kind)] });
  if (row && request.typed['was'] !== markOf(row.values)) return show(409, { isConflict: true });
  const isSure = request.typed['isSure'] === 'yes';
  const answer = kind.save(deps, land, values, id, isSure);
  if (answer.kind === 'refused') return show(422, { problems: answer.problems });
  if (answer.kind === 'breaks') return show(409, { breaks: answer.problems });
  const search = new URLSearchParams({ saved: String(answer.id) });
  return seeOther(reply, `${listPath(kind)}?${search}`);
}

/** A new row, with what an address fills in: single fields, or a copy of a row of the reference tables. */
function newValues(deps: Deps, kind: RecordKind, query: Record<string, unknown>): Values {
  const land = recordLandOf(deps);
  const { copy } = query;
  const copied = kind.libraryNoun && typeof copy === 'string' ? kind.find(land, copy) : null;
  if (copied) return { ...copied.values, key: '', name: `${copied.name}, our own` };
  const asked = kind.fields.flatMap(({ key }) => {
    const text = query[key];
    return typeof text === 'string' ? [[key, text.slice(0, 200)] as const] : [];
  });
  return { ...kind.blank(land), ...Object.fromEntries(asked) };
}

function registerForms(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>(
    '/records/:kind',
    async (request, reply) => {
      const kind = kindFor(request);
      const page = recordListPage(deps, kind, recordQuery(kind, request.query));
      return renderPane(request, reply, { page: 'records/list' }, page);
    },
  );
  app.get<{ Querystring: Record<string, unknown> }>(
    '/records/:kind/new',
    async (request, reply) => {
      const kind = kindFor(request);
      if (kind.isFixedSet) throw new PageError(404, 'There is no page at this address.');
      const values = newValues(deps, kind, request.query);
      return showForm(deps, request, reply, kind, null, { values });
    },
  );
  postForm(app, '/records/:kind/new', openForm, (_submission, request, reply) =>
    saveForm(deps, request, reply, kindFor(request), null),
  );
  app.get('/records/:kind/:id', async (request, reply) => {
    const kind = kindFor(request);
    const row = rowFor(deps, kind, request);
    return showForm(deps, request, reply, kind, row, { values: row.values });
  });
  postForm(app, '/records/:kind/:id', openForm, (_submission, request, reply) =>
    saveForm(deps, request, reply, kindFor(request), param(request, 'id')),
  );
}

/** A page that asks before a change of a whole row, and the change. */
function registerAsk(
  app: FastifyInstance,
  deps: Deps,
  what: 'retire' | 'default',
  change: (kind: RecordKind, row: FormRow, isSure: boolean) => ChangeAnswer,
): void {
  const show = (
    request: FastifyRequest,
    reply: FastifyReply,
    outcome: { problems?: Problem[]; breaks?: Problem[] },
  ) => {
    const kind = kindFor(request);
    const row = rowFor(deps, kind, request);
    if (what === 'default' && !kind.published(deps, recordLandOf(deps), String(row.id)))
      throw new PageError(404, 'This row has no published default.');
    const page = recordAskPage(deps, kind, row, what, outcome);
    return renderPane(request, reply, { page: 'records/ask' }, page);
  };
  app.get(`/records/:kind/:id/${what}`, (request, reply) => show(request, reply, {}));
  postForm(app, `/records/:kind/:id/${what}`, openForm, async (_submission, request, reply) => {
    const kind = kindFor(request);
    const row = rowFor(deps, kind, request);
    const answer = change(kind, row, request.typed['isSure'] === 'yes');
    if (answer.kind === 'saved')
      return seeOther(reply, what === 'retire' ? '/records/retired' : listPath(kind));
    reply.code(answer.kind === 'refused' ? 422 : 409);
    const { problems } = answer;
    return show(request, reply, answer.kind === 'refused' ? { problems } : { breaks: problems });
  });
}

function registerRetired(app: FastifyInstance, deps: Deps): void {
  app.get('/records/retired', async (request, reply) =>
    renderPane(request, reply, { page: 'records/retired' }, retiredPage(deps)),
  );
  postForm(app, '/records/retired', openForm, async (_submission, request, reply) => {
    const { noun, id } = request.typed;
    // Compared as text: ids are numbers for some nouns and keys for others.
    const row = deps.records.retired().find((one) => one.noun === noun && String(one.id) === id);
    const problems: Problem[] = row
      ? deps.records.bringBack(row.noun, row.id)
      : [{ code: 'row-unknown', message: 'This row is not out of use any more.' }];
    if (problems.length === 0) return seeOther(reply, '/records/retired');
    reply.code(422);
    return renderPane(request, reply, { page: 'records/retired' }, retiredPage(deps, problems));
  });
}

/** `/records`: every noun of the land as a list and a form, taken out of use and brought back. */
export function registerRecords(app: FastifyInstance, deps: Deps): void {
  registerRetired(app, deps);
  registerForms(app, deps);
  registerAsk(app, deps, 'retire', ({ noun }, { id }, isSure) =>
    deps.records.retire(noun, id, isSure),
  );
  registerAsk(app, deps, 'default', ({ libraryNoun }, { id }, isSure) => {
    if (libraryNoun) return deps.records.backToDefault(libraryNoun, String(id), isSure);
    throw new PageError(404, 'There is no page at this address.');
  });
}
