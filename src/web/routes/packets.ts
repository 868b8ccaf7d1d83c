import type { FastifyInstance, FastifyRequest } from 'fastify';
import Type from 'typebox';
import { type IsoDate, parseIsoDate } from '../../core/dates.ts';
import { checkPlanElement, type PlanElement } from '../../core/plan-elements.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import {
  changedMeanwhile,
  type Form,
  idOf,
  postForm,
  refusalStatus,
  seeOther,
} from '../forms/form.ts';
import { renderPane } from '../htmx.ts';
import { elementsPage, elementValues, packetPage } from '../pages/packet.ts';

/** Its fields follow the table of elements, so the core checks them. */
const openSchema = Type.Object({});
const openForm: Form<typeof openSchema> = { schema: openSchema, labels: {} };

const fieldNames = {
  isWritten: 'written',
  signedBy: 'signed by',
  signedOn: 'signed on',
  expiresOn: 'good until',
} as const;

function labelsOf(deps: Deps): Record<string, string> {
  return Object.fromEntries(
    deps
      .operation()
      .sheetTables.planElements.flatMap(({ key, name }) =>
        Object.entries(fieldNames).map(([field, words]) => [
          `${field}-${key}`,
          `${name}, ${words}`,
        ]),
      ),
  );
}

/** A day as typed; what is no day stays as it is and is refused by the core, so that nothing typed is lost. */
function dayOf(text: string): IsoDate | null {
  return text.trim() === '' ? null : (parseIsoDate(text) ?? (text as IsoDate));
}

/** The elements as the form has them, where they differ from what is on file, with what is wrong with them. */
function readElements(deps: Deps, blockId: number, typed: Record<string, string>) {
  const { sheetTables, planElements } = deps.operation();
  const problems: Problem[] = [];
  const elements: PlanElement[] = [];
  for (const { key, name } of sheetTables.planElements) {
    const text = (field: string) => (typed[`${field}-${key}`] ?? '').trim();
    const before = planElements.findLast((row) => row.blockId === blockId && row.key === key);
    const element: PlanElement = {
      id: before?.id ?? 0,
      blockId,
      key,
      isWritten: text('isWritten') === 'yes',
      signedBy: text('signedBy'),
      signedOn: dayOf(text('signedOn')),
      expiresOn: dayOf(text('expiresOn')),
    };
    const blank = { isWritten: false, signedBy: '', signedOn: null, expiresOn: null };
    const { id: _, blockId: __, key: ___, ...was } = before ?? { id: 0, blockId, key, ...blank };
    const isSame = (Object.keys(blank) as (keyof typeof blank)[]).every(
      (field) => element[field] === was[field],
    );
    if (isSame) continue;
    problems.push(...checkPlanElement(element, name));
    elements.push(element);
  }
  return { elements, problems };
}

/** `/packets/:blockId`: a burn's papers as one print job, and the form that ticks the elements of its plan. */
export function registerPackets(app: FastifyInstance, deps: Deps): void {
  const blockId = (request: FastifyRequest) => idOf(request, 'blockId');
  const elementsTemplate = { page: 'packets/elements' };
  app.get('/packets/:blockId', async (request, reply) =>
    renderPane(request, reply, { page: 'packets/show' }, packetPage(deps, blockId(request))),
  );
  app.get('/packets/:blockId/elements', async (request, reply) =>
    renderPane(request, reply, elementsTemplate, elementsPage(deps, blockId(request))),
  );
  postForm(app, '/packets/:blockId/elements', openForm, async (submission, request, reply) => {
    const id = blockId(request);
    // 404 for a block that is not there, before anything is read of the form.
    elementsPage(deps, id);
    const { elements, problems: wrong } = readElements(deps, id, request.typed);
    const operation = deps.operation();
    const block = operation.blocks.find((one) => one.id === id);
    const stored = block ? elementValues(operation, block) : {};
    let problems = wrong;
    if (problems.length === 0) problems = changedMeanwhile(request, stored, labelsOf(deps));
    if (problems.length === 0 && elements.length > 0)
      problems = deps.packets.saveElements(elements);
    if (problems.length === 0) return seeOther(reply, `/packets/${id}#elements`);
    reply.code(refusalStatus(problems));
    const form = { ...submission.form, problems };
    return renderPane(request, reply, elementsTemplate, elementsPage(deps, id, { form }));
  });
}
