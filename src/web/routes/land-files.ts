import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { idOf } from '../forms/form.ts';
import { readUpload } from '../forms/upload.ts';
import { renderPane } from '../htmx.ts';
import { type LandFileOutcome, landFilesPage, seenOf } from '../pages/land-files.ts';
import { PageError } from '../plugins/errors.ts';

const template = { page: 'land/files' };
const mediaTypes = {
  // RFC 7946, section 12.
  geojson: 'application/geo+json',
  kml: 'application/xml',
} as const;

/** A name for a file: small letters, digits and hyphens. */
function fileName(name: string): string {
  return (
    name
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '') || 'land'
  );
}

function registerOut(app: FastifyInstance, deps: Deps): void {
  for (const kind of ['geojson', 'kml'] as const)
    app.get(`/land/files/:id/${kind}`, async (request, reply) => {
      const id = idOf(request);
      const property = deps.operation().properties.find((one) => one.id === id);
      if (!property) throw new PageError(404, 'There is no such property.');
      const name = `${fileName(property.name)}.${kind}`;
      return reply
        .type(mediaTypes[kind])
        .header('cache-control', 'private, no-cache')
        .header('content-disposition', `attachment; filename="${name}"`)
        .send(deps.files.exportLand(id, kind));
    });
}

async function takeIn(deps: Deps, request: FastifyRequest, reply: FastifyReply): Promise<string> {
  const { fields, text } = await readUpload(request);
  const { propertyId = '', community = '', seen = '', text: typed = '' } = fields;
  const values = { propertyId, community, text: typed };
  const show = (outcome: Omit<LandFileOutcome, 'values' | 'text'>, isWrong: boolean) => {
    if (isWrong) reply.code(422);
    return renderPane(request, reply, template, landFilesPage(deps, { values, text, ...outcome }));
  };
  const { properties, communities } = deps.operation();
  const property = properties.find(({ id }) => String(id) === propertyId);
  const problems: Problem[] = [];
  const say = (field: string, message: string) => problems.push({ code: field, field, message });
  if (!property) say('propertyId', 'Property: choose one of the list.');
  if (text.trim() === '') say('text', 'File or text: choose a file or paste its text.');
  if (!property || problems.length > 0) return show({ problems }, true);
  const communityKey = communities.some(({ key }) => key === community) ? community : null;
  const upload = { propertyId: property.id, text, communityKey };
  const preview = deps.files.previewLand(upload);
  if (fields['do'] !== 'take' || preview.problems.length > 0)
    return show({ preview }, preview.problems.length > 0);
  if (seenOf(preview.report) !== seen) {
    const message = 'The land or the file changed since you saw this list: please look again.';
    return show({ preview, problems: [{ code: 'changed-meanwhile', message }] }, true);
  }
  const wrong = deps.files.takeLand(upload);
  if (wrong.length > 0) return show({ problems: wrong }, true);
  const isTaken = ({ state }: { state: string }) => state === 'new' || state === 'changed';
  return renderPane(
    request,
    reply,
    template,
    landFilesPage(deps, {
      values: { propertyId },
      text: '',
      taken: preview.report.filter(isTaken).length,
    }),
  );
}

/** `/land/files`: units, blocks, lines and points as GeoJSON and KML, out, and in with a list of what changes. */
export function registerLandFiles(app: FastifyInstance, deps: Deps): void {
  app.get('/land/files', async (request, reply) =>
    renderPane(request, reply, template, landFilesPage(deps, null)),
  );
  app.post('/land/files', (request, reply) => takeIn(deps, request, reply));
  registerOut(app, deps);
}
