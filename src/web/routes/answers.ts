import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import Type from 'typebox';
import { parseIsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';
import type { PhotoPoint, Visit } from '../../core/visits.ts';
import type { Deps } from '../deps.ts';
import { type Form, type FormState, idOf, postForm, seeOther } from '../forms/form.ts';
import { readPhotos } from '../forms/photos.ts';
import type { Values } from '../forms/records/descriptor.ts';
import { kindOf } from '../forms/records/kinds.ts';
import { isVisitKind, newVisitValues, visits } from '../forms/records/visits.ts';
import { renderPane } from '../htmx.ts';
import { answersPage, unitAt } from '../pages/answers.ts';
import {
  type FieldView,
  type FormOutcome,
  type FormSection,
  recordFormPage,
  recordLandOf,
} from '../pages/records.ts';
import { shellOf, todayAt } from '../pages/shell.ts';
import { PageError } from '../plugins/errors.ts';
import { date, visitNames } from '../words.ts';

/** The fields differ by what was done, so the descriptor of visits checks them. */
const openSchema = Type.Object({});
const openForm: Form<typeof openSchema> = { schema: openSchema, labels: {} };

const visitRows = kindOf(visits);

function unitOf(deps: Deps, request: FastifyRequest) {
  const operation = deps.operation();
  const unit = unitAt(operation, idOf(request));
  const today = todayAt(
    deps,
    operation.properties.find(({ id }) => id === unit.propertyId),
  );
  return { unit, today, answersPath: `/units/${unit.id}/answers` };
}

function kindAsked(request: FastifyRequest) {
  const { kind } = request.params as { kind: string };
  if (isVisitKind(kind) && kind !== 'photos') return kind;
  throw new PageError(404, 'There is no page at this address.');
}

/** The address says which unit it is. */
function withoutUnit(section: FormSection): FormSection {
  const hidden = (field: FieldView): FieldView =>
    field.key === 'unitId' ? { ...field, shape: 'hidden' } : field;
  return {
    ...section,
    sets: section.sets.map((set) => ({ ...set, fields: set.fields.map(hidden) })),
  };
}

function showForm(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  outcome: FormOutcome,
): Promise<string> {
  const { unit, answersPath } = unitOf(deps, request);
  const kind = kindAsked(request);
  const page = recordFormPage(deps, visitRows, null, outcome);
  const title = `${unit.code} ${unit.name}: ${visitNames[kind].toLowerCase()}`;
  return renderPane(
    request,
    reply,
    { page: 'records/form' },
    {
      ...page,
      sections: page.sections.map(withoutUnit),
      shell: shellOf(deps, 'units', title),
      many: `answers of ${unit.code}`,
      listPath: answersPath,
      path: `/units/${unit.id}/visits/new/${kind}`,
    },
  );
}

function registerForms(app: FastifyInstance, deps: Deps): void {
  app.get('/units/:id/visits/new/:kind', async (request, reply) => {
    const { unit, today } = unitOf(deps, request);
    const values = newVisitValues(unit.id, kindAsked(request), today);
    return showForm(deps, request, reply, { values });
  });
  postForm(app, '/units/:id/visits/new/:kind', openForm, async (_submission, request, reply) => {
    const { unit, answersPath } = unitOf(deps, request);
    const kind = kindAsked(request);
    const values: Values = { ...request.typed, unitId: String(unit.id), kind };
    // A visit moves no task, so there is nothing to be sure of.
    const answer = visitRows.save(deps, recordLandOf(deps), values, null, true);
    if (answer.kind === 'saved') return seeOther(reply, `${answersPath}#visits`);
    reply.code(422);
    return showForm(deps, request, reply, { values, problems: answer.problems });
  });
}

function pointOf(deps: Deps, request: FastifyRequest): PhotoPoint {
  const { unit } = unitOf(deps, request);
  const pointId = idOf(request, 'point');
  const point = deps
    .operation()
    .photoPoints.find(({ id, unitId }) => id === pointId && unitId === unit.id);
  if (!point) throw new PageError(404, 'There is no photo point in use at this address.');
  return point;
}

function showPictureForm(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  form: FormState,
): Promise<string> {
  const point = pointOf(deps, request);
  const { unit, answersPath } = unitOf(deps, request);
  return renderPane(
    request,
    reply,
    { page: 'answers/pictures' },
    {
      shell: shellOf(deps, 'units', `${unit.code}: pictures from ${point.name}`),
      point,
      answersPath,
      path: `/units/${unit.id}/photo-points/${point.id}/pictures`,
      form,
    },
  );
}

function dayProblems(day: string, today: string): Problem[] {
  const say = (message: string): Problem[] => [{ code: 'visit-seenOn', field: 'seenOn', message }];
  if (!parseIsoDate(day))
    return say('Day: write a real day as year-month-day, such as 2027-03-04.');
  return day > today ? say('Day: write the day on which they were taken, today or earlier.') : [];
}

const pictureTypes: Record<string, string> = {
  jpg: 'image/jpeg',
  png: 'image/png',
  webp: 'image/webp',
};

function registerPictures(app: FastifyInstance, deps: Deps): void {
  app.get('/units/:id/photo-points/:point/pictures', async (request, reply) => {
    const { today } = unitOf(deps, request);
    return showPictureForm(deps, request, reply, { values: { seenOn: today }, problems: [] });
  });
  app.post('/units/:id/photo-points/:point/pictures', async (request, reply) => {
    const point = pointOf(deps, request);
    const { today, answersPath } = unitOf(deps, request);
    const sent = await readPhotos(request, deps.worklog.keepPhoto);
    const { seenOn = '', seenBy = '' } = sent.fields;
    let problems = [...sent.problems, ...dayProblems(seenOn, today)];
    const visit = {
      ...{ id: 0, unitId: point.unitId, seenOn, seenBy: seenBy.slice(0, 200), note: sent.caption },
      finding: { kind: 'photos', photoPointId: point.id, photos: sent.fileNames },
    } as Visit;
    if (problems.length === 0) {
      const answer = deps.records.save('visit', visit, true, true);
      if (answer.kind === 'saved') return seeOther(reply, `${answersPath}#photo-points`);
      problems = answer.problems;
    }
    deps.worklog.dropPhotos(sent.fileNames);
    reply.code(422);
    const values = { seenOn, seenBy, caption: sent.caption };
    return showPictureForm(deps, request, reply, { values, problems });
  });
  app.get('/units/:id/visits/:visit/pictures/:picture', async (request, reply) => {
    const { unit } = unitOf(deps, request);
    const { picture } = request.params as { picture: string };
    const visitId = idOf(request, 'visit');
    const visit = deps.operation().visits.find(({ id }) => id === visitId);
    const isOf =
      visit?.unitId === unit.id &&
      visit.finding.kind === 'photos' &&
      visit.finding.photos.includes(picture);
    const bytes = isOf ? deps.answers.picture(picture) : null;
    const type = pictureTypes[picture.slice(picture.lastIndexOf('.') + 1)];
    if (!bytes || !type) throw new PageError(404, 'There is no picture at this address.');
    return reply
      .header('cache-control', 'private, max-age=86400')
      .header('content-disposition', `inline; filename="${date(visit!.seenOn)}"`)
      .type(type)
      .send(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
  });
}

/** `/units/:id/answers`: what was seen and measured on a unit over its treatments, and the short forms for it. */
export function registerAnswers(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>(
    '/units/:id/answers',
    async (request, reply) =>
      renderPane(
        request,
        reply,
        { page: 'answers/show' },
        answersPage(deps, idOf(request), request.query['fuel'] ?? ''),
      ),
  );
  registerForms(app, deps);
  registerPictures(app, deps);
}
