import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Deps } from '../deps.ts';

/** Days that a browser keeps the cookie; the session may end sooner. */
const cookieDays = 7;

/** Over TLS the cookie is bound to the host (RFC 6265bis, section 4.1.3.2). */
function cookieName(request: FastifyRequest): string {
  return isSecure(request) ? '__Host-seasonwright' : 'seasonwright';
}

function isSecure(request: FastifyRequest): boolean {
  return request.server.publicUrl?.startsWith('https://') ?? false;
}

/** The token that came with a request; null = none. */
export function sessionToken(request: FastifyRequest): string | null {
  const name = cookieName(request);
  for (const pair of (request.headers.cookie ?? '').split(';')) {
    const [key, value] = pair.trim().split('=', 2);
    if (key === name && value && /^[\w-]{20,100}$/.test(value)) return value;
  }
  return null;
}

/** Whose session a request came with. */
export function readSession(
  request: FastifyRequest,
  access: Deps['access'],
): ReturnType<Deps['access']['find']> {
  const token = sessionToken(request);
  return token === null ? null : access.find(token);
}

const attributes = (request: FastifyRequest) =>
  `Path=/; HttpOnly; SameSite=Lax${isSecure(request) ? '; Secure' : ''}`;

export function setSession(request: FastifyRequest, reply: FastifyReply, token: string): void {
  const seconds = cookieDays * 86_400;
  reply.header(
    'set-cookie',
    `${cookieName(request)}=${token}; Max-Age=${seconds}; ${attributes(request)}`,
  );
}

export function dropSession(request: FastifyRequest, reply: FastifyReply): void {
  reply.header('set-cookie', `${cookieName(request)}=; Max-Age=0; ${attributes(request)}`);
}
