import { isIP } from 'node:net';
import helmet from '@fastify/helmet';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { PageError } from './errors.ts';

declare module 'fastify' {
  interface FastifyInstance {
    /** `https://work.example.org`, without a slash at the end; null = only under its own address. */
    publicUrl: string | null;
  }
}

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
    workerSrc: ["'self'"],
    formAction: ["'self'"],
    baseUri: ["'none'"],
    frameAncestors: ["'none'"],
  },
};

/** The same policy for a page that shows pictures of one other origin, and of no further one. */
export function policyWithImages(origin: string): string {
  const { directives } = contentSecurityPolicy;
  return Object.entries({ ...directives, imgSrc: [...directives.imgSrc, origin] })
    .map(
      ([name, values]) =>
        `${name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)} ${values.join(' ')}`,
    )
    .join(';');
}

/** The name of a Host header, without its port. */
function nameOf(host: string): string {
  return host.replace(/:\d+$/, '').toLowerCase();
}

/** An address in figures can not be pointed here by somebody else's name server. */
function isAddress(name: string): boolean {
  return isIP(name.replace(/^\[|\]$/g, '')) !== 0;
}

/** True when the request came over this machine's own loopback. */
export function isLoopback(request: FastifyRequest): boolean {
  const address = request.socket.remoteAddress ?? '';
  return address === '::1' || /^(::ffff:)?127\./.test(address);
}

/**
 * True for a changing request that a page of another site caused: by Sec-Fetch-Site, else by Origin. Programs that
 * send neither are let through where they carry no one's session.
 */
function isCrossSite(request: FastifyRequest): boolean {
  const site = request.headers['sec-fetch-site'];
  if (site !== undefined) return site !== 'same-origin' && site !== 'none';
  const { origin } = request.headers;
  if (origin === undefined) return request.headers.cookie !== undefined;
  if (!URL.canParse(origin)) return true;
  const { publicUrl } = request.server;
  const { host } = new URL(origin);
  return host !== request.headers.host && !(publicUrl && new URL(publicUrl).host === host);
}

/** The server's address as people see it: the public one where it is known, else that of the request. */
export function baseUrlOf(request: FastifyRequest): string {
  return request.server.publicUrl ?? `${request.protocol}://${request.host}`;
}

export interface SecurityOptions {
  /** Answer under any host name. */
  anyHost: boolean;
  /** Names, without port, that are this server's beside this machine's own. */
  hostNames: readonly string[];
}

/**
 * Headers that keep other sites out, a refusal of their posts, and of names that are not this server's own (a page
 * elsewhere could point its name here).
 */
export function registerSecurity(app: FastifyInstance, options: SecurityOptions): void {
  const { publicUrl } = app;
  const names = new Set([...loopbackNames, ...options.hostNames.map((name) => name.toLowerCase())]);
  if (publicUrl) names.add(new URL(publicUrl).hostname.toLowerCase());
  app
    .register(helmet, {
      contentSecurityPolicy,
      strictTransportSecurity: publicUrl?.startsWith('https://') ? { maxAge: 31_536_000 } : false,
      crossOriginEmbedderPolicy: false,
      xFrameOptions: { action: 'deny' },
      referrerPolicy: { policy: 'same-origin' },
    })
    // After the headers, so that a refusal carries them too.
    .after(() => {
      app.addHook('onRequest', async (request) => {
        const name = nameOf(request.headers.host ?? '');
        const isOwn = names.has(name) || (options.hostNames.length > 0 && isAddress(name));
        if (!options.anyHost && !isOwn)
          throw new PageError(421, 'This address is not served here. Open it as localhost.');
        const isRead = request.method === 'GET' || request.method === 'HEAD';
        if (!isRead && isCrossSite(request))
          throw new PageError(403, 'The form was sent from another site, so nothing was changed.');
      });
    });
}
