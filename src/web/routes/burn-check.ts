import type { FastifyInstance } from 'fastify';
import type { IsoDate } from '../../core/dates.ts';
import type { Deps } from '../deps.ts';
import { goNoGoForm, smokeForm, switchForm } from '../forms/burn-check.ts';
import { idOf, postForm, seeOther } from '../forms/form.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { answersOf, burnCheckPage, type CheckForms, listPage } from '../pages/burn-check.ts';

type Query = Record<string, string | undefined>;

const template = { page: 'burn-check/show' };

const pathOf = (blockId: number | null | undefined, day: string) =>
  `/burn-check?${blockId ? `block=${blockId}&` : ''}day=${day}`;

function registerSwitches(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/burn-check/switches', switchForm, async (submission, request, reply) => {
    const refuse = (forms: CheckForms) => {
      reply.code(422);
      const { blockId: block, day } = request.typed;
      return renderPane(request, reply, template, burnCheckPage(deps, { block, day }, forms));
    };
    if (!submission.ok) return refuse({ switchForm: submission.form });
    const { propertyId, kind, standing, since, checkedBy, note, day, blockId } = submission.values;
    const property = deps.operation().properties.find((one) => one.id === propertyId);
    const problems = property
      ? deps.burns.addSwitch({
          state: property.state,
          county: property.county,
          kind,
          isOn: standing === 'on',
          since: since as IsoDate | null,
          checkedBy: checkedBy.trim(),
          note: note ?? '',
        })
      : [{ code: 'property', field: 'propertyId', message: 'Property: choose one from the list.' }];
    if (problems.length > 0) return refuse({ switchForm: { ...submission.form, problems } });
    return seeOther(reply, `${pathOf(blockId, day)}#county`);
  });
}

function registerSmoke(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/burn-check/smoke', smokeForm, async (submission, request, reply) => {
    if (!submission.ok) {
      reply.code(422);
      const { blockId: block, day } = request.typed;
      const forms = { smokeForm: submission.form };
      return renderPane(request, reply, template, burnCheckPage(deps, { block, day }, forms));
    }
    const { state, name, leastM2s, isBurningAllowed, note, day, blockId } = submission.values;
    const isAllowed = isBurningAllowed === 'yes';
    const rule = { state, name, leastM2s, isBurningAllowed: isAllowed, note: note ?? '' };
    deps.burns.saveSmokeRule(rule);
    return seeOther(reply, `${pathOf(blockId, day)}#smoke`);
  });
  postForm(
    app,
    '/burn-check/smoke/:id/removal',
    buttonForm,
    async (_submission, request, reply) => {
      deps.burns.removeSmokeRule(idOf(request));
      return seeOther(reply, '/burn-check#smoke');
    },
  );
}

function registerLists(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/burn-check/lists', goNoGoForm, async (submission, request, reply) => {
    const { blockId: block, day } = request.typed;
    const isBlock = deps.operation().blocks.some((one) => String(one.id) === block);
    if (submission.ok && isBlock) {
      const { blockId, answeredBy, note } = submission.values;
      const list = deps.burns.addGoNoGo({
        blockId,
        day: submission.values.day as IsoDate,
        answeredBy: answeredBy.trim(),
        note: note ?? '',
        answers: answersOf(request.typed),
      });
      return seeOther(reply, `/burn-check/lists/${list.id}`);
    }
    reply.code(422);
    const gone = [{ code: 'block', message: 'This block is no longer there; choose another.' }];
    const problems = submission.ok ? gone : submission.form.problems;
    const forms = { goNoGoForm: { ...submission.form, problems } };
    return renderPane(request, reply, template, burnCheckPage(deps, { block, day }, forms));
  });
  app.get('/burn-check/lists/:id', async (request, reply) =>
    renderPane(request, reply, { page: 'burn-check/list' }, listPage(deps, idOf(request))),
  );
}

/** `/burn-check?block=ID&day=DATE`: a day's weather against a block's limits, the order of blocks, county switches, the list. */
export function registerBurnCheck(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/burn-check', async (request, reply) =>
    renderPane(request, reply, template, burnCheckPage(deps, request.query)),
  );
  registerSwitches(app, deps);
  registerSmoke(app, deps);
  registerLists(app, deps);
}
