import helmet from '@fastify/helmet';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { PageError } from './errors.ts';

const loopbackNames = new Set(['localhost', '127.0.0.1', '[::1]', '::1']);

/** Nothing from elsewhere, no inline script or style, no framing. */
const contentSecurityPolicy = {
  useDefaults: false,
  directives: {
    defaultSrc: ["'none'"],
    scriptSrc: ["'self'"],
    styleSrc: ["'self'"],
    imgSrc: ["'self'", 'data:'],
    connectSrc: ["'self'"],
    formAction: ["'self'"],
    baseUri: ["'none'"],
    frameAncestors: ["'none'"],
  },
};

function nameOf(host: string): string {
  return host.replace(/:\d+$/, '').toLowerCase();
}

/**
 * True for a changing request that a page of another site caused: by Sec-Fetch-Site, else by Origin. Programs
 * that send neither are let through; they carry no one's session.
 */
function isCrossSite(request: FastifyRequest): boolean {
  const site = request.headers['sec-fetch-site'];
  if (site !== undefined) return site !== 'same-origin' && site !== 'none';
  const { origin } = request.headers;
  if (origin === undefined) return false;
  return !URL.canParse(origin) || new URL(origin).host !== request.headers.host;
}

/**
 * Headers that keep other sites out, a refusal of their posts, and, unless `anyHost`, of names that are
 * not this machine's own (a page elsewhere could point its name here).
 */
export function registerSecurity(app: FastifyInstance, anyHost: boolean): void {
  app
    .register(helmet, {
      contentSecurityPolicy,
      strictTransportSecurity: false,
      crossOriginEmbedderPolicy: false,
      xFrameOptions: { action: 'deny' },
      referrerPolicy: { policy: 'same-origin' },
    })
    // After the headers, so that a refusal carries them too.
    .after(() => {
      app.addHook('onRequest', async (request) => {
        if (!anyHost && !loopbackNames.has(nameOf(request.headers.host ?? '')))
          throw new PageError(421, 'This address is not served here. Open it as localhost.');
        const isRead = request.method === 'GET' || request.method === 'HEAD';
        if (!isRead && isCrossSite(request))
          throw new PageError(403, 'The form was sent from another site, so nothing was changed.');
      });
    });
}
