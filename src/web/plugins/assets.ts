import { createRequire } from 'node:module';
import { basename, dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';

const folder = fileURLToPath(new URL('../../../views/assets/', import.meta.url));
const htmxFile = createRequire(import.meta.url).resolve('htmx.org/dist/htmx.min.js');

/** Style sheets and scripts under `/assets/`; htmx is served from its package, never from elsewhere. */
export function registerAssets(app: FastifyInstance): void {
  app.register(fastifyStatic, { root: folder, prefix: '/assets/', maxAge: '1h' });
  // At the root, since a worker serves only pages below its own address; asked for anew each time.
  app.get('/sw.js', (_request, reply) => reply.sendFile('sw.js', folder, { maxAge: 0 }));
  app.get('/assets/htmx.min.js', (_request, reply) =>
    reply.sendFile(basename(htmxFile), dirname(htmxFile), { maxAge: '1h' }),
  );
}
