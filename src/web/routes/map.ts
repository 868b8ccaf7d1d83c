import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { type MapLayerKind, mapLayerOf } from '../../core/map-layers.ts';
import { tileOrigin } from '../../core/map-tiles.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { changedMeanwhile, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { picturesForm } from '../forms/map.ts';
import { readUpload } from '../forms/upload.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { mapPage } from '../pages/map.ts';
import { type MapLayersPage, mapLayersPage, mapPicturesPage } from '../pages/map-layers.ts';
import { PageError } from '../plugins/errors.ts';
import { policyWithImages } from '../plugins/security.ts';

const layersTemplate = { page: 'map/layers' };

type Refusals = { kind: 'saved' } | { kind: 'refused' | 'breaks'; problems: Problem[] };

const problemsOf = (answer: Refusals): Problem[] =>
  answer.kind === 'saved' ? [] : answer.problems;

/** Reads a file of lines and keeps what lies near the units; the form comes back as typed where that fails. */
async function takeLayer(deps: Deps, request: FastifyRequest, reply: FastifyReply) {
  const id = idOf(request);
  const operation = deps.operation();
  if (!operation.properties.some((one) => one.id === id))
    throw new PageError(404, 'There is no such property.');
  const { fields, text } = await readUpload(request);
  const { name = '', kind = '', text: typed = '' } = fields;
  const show = (outcome: { problems: Problem[]; taken?: MapLayersPage['taken'] }) => {
    const isDone = outcome.problems.length === 0;
    if (!isDone) reply.code(422);
    const values = isDone ? {} : { name, kind, text: typed };
    const form = { values, problems: outcome.problems };
    const page = mapLayersPage(deps, String(id), { form, taken: outcome.taken ?? null });
    return renderPane(request, reply, layersTemplate, page);
  };
  if (text.trim() === '') {
    const message = 'File or text: choose a file or paste its text.';
    return show({ problems: [{ code: 'no-file', field: 'text', message }] });
  }
  const read = deps.files.readStretches(text);
  if (!read.ok) return show({ problems: read.problems });
  const asked = { propertyId: id, name, kind: kind as MapLayerKind };
  const made = mapLayerOf(asked, read.value, operation.units);
  if (!made.ok) return show({ problems: made.problems });
  const { layer, leftOut } = made.value;
  const problems = problemsOf(deps.records.save('mapLayer', { id: 0, ...layer }, true, true));
  return show({ problems, taken: { stretches: layer.stretches.length, leftOut } });
}

function registerLayers(app: FastifyInstance, deps: Deps): void {
  app.get('/map/layers', async (request, reply) => {
    const { property } = request.query as Record<string, unknown>;
    const page = mapLayersPage(deps, String(property ?? ''));
    return renderPane(request, reply, layersTemplate, page);
  });
  app.post('/map/layers/:id', (request, reply) => takeLayer(deps, request, reply));
  postForm(app, '/map/layers/:id/:layer/out', buttonForm, async (_submission, request, reply) => {
    const [propertyId, layerId] = [idOf(request), idOf(request, 'layer')];
    const isThere = deps
      .operation()
      .mapLayers.some((one) => one.id === layerId && one.propertyId === propertyId);
    if (!isThere) throw new PageError(404, 'There is no such layer.');
    const problems = problemsOf(deps.records.retire('mapLayer', layerId, true));
    if (problems.length === 0) return seeOther(reply, `/map/layers?property=${propertyId}`);
    reply.code(422);
    const page = mapLayersPage(deps, String(propertyId), { form: { values: {}, problems } });
    return renderPane(request, reply, layersTemplate, page);
  });
}

function registerPictures(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'map/pictures' };
  app.get('/map/pictures', async (request, reply) =>
    renderPane(request, reply, template, mapPicturesPage(deps)),
  );
  postForm(app, '/map/pictures', picturesForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    const [before] = deps.operation().tileServices;
    if (submission.ok)
      problems = changedMeanwhile(request, mapPicturesPage(deps).form.values, picturesForm.labels);
    if (submission.ok && problems.length === 0) {
      const address = submission.values.address.trim();
      const attribution = submission.values.attribution.trim();
      const row = { id: before?.id ?? 0, address, attribution };
      problems = problemsOf(deps.records.save('tileService', row, !before, true));
    }
    if (problems.length === 0) return seeOther(reply, '/map');
    reply.code(refusalStatus(problems));
    const page = mapPicturesPage(deps, { ...submission.form, problems });
    return renderPane(request, reply, template, page);
  });
}

/** `/map`: the land drawn from its boundaries, with what needs a look; its layers, and pictures under it. */
export function registerMap(app: FastifyInstance, deps: Deps): void {
  app.get('/map', async (request, reply) => {
    const { property, show } = request.query as Record<string, unknown>;
    const page = mapPage(deps, { property: String(property ?? ''), show: String(show ?? '') });
    const origin = tileOrigin(deps.operation().tileServices[0]?.address ?? '');
    if (origin !== null) reply.header('content-security-policy', policyWithImages(origin));
    return renderPane(request, reply, { page: 'map/show' }, page);
  });
  registerLayers(app, deps);
  registerPictures(app, deps);
}
