import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { IsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { Property } from '../../core/properties.ts';
import type { Deps } from '../deps.ts';
import { type FormState, idOf, postForm, seeOther } from '../forms/form.ts';
import { leafOutObservedForm, leafOutTakeForm } from '../forms/leaf-out.ts';
import { renderPane } from '../htmx.ts';
import { estimateOf, leafOutModel, leafOutPage, springOf } from '../pages/leaf-out.ts';
import { todayAt } from '../pages/shell.ts';
import { PageError } from '../plugins/errors.ts';

const template = { page: 'leaf-out/show' };
const pathOf = (property: Property, model: string | undefined) =>
  `/leaf-out${model ? `?model=${encodeURIComponent(model)}` : ''}#property-${property.id}`;

function propertyOf(deps: Deps, request: FastifyRequest): Property {
  const property = deps.operation().properties.find((one) => one.id === idOf(request));
  if (!property) throw new PageError(404, 'There is no property at this address.');
  return property;
}

function answer(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  property: Property,
  form: FormState,
  problems: Problem[],
) {
  const model = form.values['model'];
  if (problems.length === 0) return seeOther(reply, pathOf(property, model));
  reply.code(422);
  const refused = { propertyId: property.id, form: { ...form, problems } };
  return renderPane(request, reply, template, leafOutPage(deps, model, refused));
}

/** Leaf-out by property: the computed date, take it over, or say what was seen. */
export function registerLeafOut(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>(
    '/leaf-out',
    async (request, reply) =>
      renderPane(request, reply, template, leafOutPage(deps, request.query['model'])),
  );
  postForm(app, '/leaf-out/:id/computed', leafOutTakeForm, async (submission, request, reply) => {
    const property = propertyOf(deps, request);
    const { form } = submission;
    const today = todayAt(deps, property);
    const year = springOf(today);
    const isSeen = property.anchors.byYear.some(
      (row) => row.anchor === 'leaf-out' && row.year === year && row.how === 'observed',
    );
    if (!submission.ok || isSeen) {
      const message = `Leaf-out of ${year} was observed, and what was seen goes before what is computed: drop the observed day first.`;
      const problem = { code: 'leaf-out-observed', field: 'observedOn', message };
      return answer(deps, request, reply, property, form, isSeen ? [problem] : form.problems);
    }
    const model = leafOutModel(deps, form.values['model']);
    const { date } = estimateOf(property, model, deps.seasons.dailyWeather(property.id), today);
    const value = { year, date, how: 'computed' as const };
    const problems = deps.land.setAnchors(
      property.id,
      [{ anchor: 'leaf-out', value }],
      request.isSure,
    );
    return answer(deps, request, reply, property, form, problems);
  });
  postForm(app, '/leaf-out/:id/usual', leafOutTakeForm, async (submission, request, reply) => {
    const property = propertyOf(deps, request);
    const year = springOf(todayAt(deps, property));
    const value = { year, date: null, how: 'observed' as const };
    const problems = submission.ok
      ? deps.land.setAnchors(property.id, [{ anchor: 'leaf-out', value }], request.isSure)
      : submission.form.problems;
    return answer(deps, request, reply, property, submission.form, problems);
  });
  postForm(
    app,
    '/leaf-out/:id/observed',
    leafOutObservedForm,
    async (submission, request, reply) => {
      const property = propertyOf(deps, request);
      const year = springOf(todayAt(deps, property));
      let { problems } = submission.form;
      if (submission.ok) {
        const date = submission.values.observedOn as IsoDate;
        const value = { year, date, how: 'observed' as const };
        problems = isOutside(date, year, todayAt(deps, property))
          ? [outside(year)]
          : deps.land.setAnchors(property.id, [{ anchor: 'leaf-out', value }], request.isSure);
      }
      return answer(deps, request, reply, property, submission.form, problems);
    },
  );
}

function isOutside(date: IsoDate, year: number, today: IsoDate): boolean {
  return !date.startsWith(`${year}-`) || date > today;
}

function outside(year: number): Problem {
  const message = `Leaf-out observed on: give a day of ${year} that is not after today.`;
  return { code: 'leaf-out-day', field: 'observedOn', message };
}
