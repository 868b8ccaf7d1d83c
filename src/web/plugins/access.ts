import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { isAtLeast, maySeeAll, type SignedIn } from '../../core/accounts.ts';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { bareShell } from '../pages/shell.ts';
import { mayWriteKind, type RouteAccess, routeAccess, type Scope } from '../route-access.ts';
import { PageError } from './errors.ts';
import { type RequestLimits, requestLimiter } from './limits.ts';
import { isLoopback } from './security.ts';
import { readSession } from './session-cookie.ts';

declare module 'fastify' {
  interface FastifyInstance {
    /** Every route, as `GET /units/:id`. */
    routeNames: string[];
  }
  interface FastifyRequest {
    /** Who is signed in; null without accounts, and where nobody is. */
    person: SignedIn | null;
    /** Number of the session that the request came with. */
    sessionId: number | null;
    /** A form of somebody who is not signed in: it is shown again, not taken. */
    isSignInMissing: boolean;
  }
}

const isReading = ({ method }: FastifyRequest) => method === 'GET' || method === 'HEAD';

function rowOf(request: FastifyRequest): RouteAccess | null {
  const method = request.method === 'HEAD' ? 'GET' : request.method;
  return routeAccess[`${method} ${request.routeOptions.url}`] ?? null;
}

/** The path asked for, to come back to after signing in; never another site's. */
function nextPath(request: FastifyRequest): string {
  return request.url.startsWith('/') && !/^\/[/\\]/.test(request.url) ? request.url : '/';
}

/** A page leads to the sign-in page; anything else says so in words. */
async function askToSignIn(request: FastifyRequest, reply: FastifyReply): Promise<unknown> {
  const isPage = isReading(request) && request.headers['hx-request'] === undefined;
  if (isPage) return reply.redirect(`/sign-in?next=${encodeURIComponent(nextPath(request))}`, 302);
  throw new PageError(
    401,
    'You are signed out, so nothing was changed. Sign in in another tab, then come back here and send it again.',
  );
}

const secretFields = /password|present/i;

/** The form again with all that was typed, to be sent once more after signing in elsewhere. */
async function showFormAgain(request: FastifyRequest, reply: FastifyReply): Promise<unknown> {
  const fields = Object.entries((request.body ?? {}) as Record<string, unknown>)
    .filter(([name]) => !secretFields.test(name))
    .flatMap(([name, value]) =>
      (Array.isArray(value) ? value : [value]).map((one) => ({ name, value: String(one) })),
    );
  const shell = bareShell('Sign in, then send it again', null);
  reply.code(401);
  const action = nextPath(request);
  return renderPane(request, reply, { page: 'access/again' }, { shell, fields, action });
}

/** Numbers that a request names for a scope: of the path, of `?name`, or of `=name` of the form. */
function namedBy(request: FastifyRequest, name: string): string[] {
  const from = name.startsWith('?')
    ? request.query
    : name.startsWith('=')
      ? request.body
      : request.params;
  const value = (from as Record<string, unknown> | undefined)?.[name.replace(/^[?=]/, '')];
  if (value === undefined || value === null || value === '') return [];
  return (Array.isArray(value) ? value : String(value).split(',')).map(String);
}

/** True when the land knows the row; the person's land is cut down to theirs, so that a foreign one is not there. */
function isKnown(deps: Deps, kind: string, id: string): boolean {
  const { properties, units, blocks, crews, entries } = deps.operation();
  const has = (rows: readonly { id: number }[]) => rows.some((row) => String(row.id) === id);
  switch (kind) {
    case 'property':
      return has(properties);
    case 'unit':
      return has(units);
    case 'block':
      return has(blocks);
    case 'crew':
      return has(crews);
    case 'entry':
      return has(entries);
    case 'task': {
      const [, place, row = ''] = /^(unit|block):(\d+)\//.exec(id) ?? [];
      if (place === undefined) return true;
      return (place === 'unit' ? units : blocks).some((one) => String(one.id) === row);
    }
    default:
      // Rows of records are looked at where they are read and saved.
      return true;
  }
}

function checkKind(person: SignedIn | null, kind: string): void {
  if (!mayWriteKind(person, kind)) throw new PageError(403, roleSentence);
}

const roleSentence = 'Your role does not allow this. Ask the administrator.';

function checkScope(deps: Deps, request: FastifyRequest, scope: Scope, isBodyRead: boolean): void {
  if (scope === 'all') {
    if (maySeeAll(request.person)) return;
    throw new PageError(
      403,
      'This concerns all properties, and your account is limited to some. Ask somebody who sees all of them.',
    );
  }
  for (const [kind, name] of Object.entries(scope)) {
    if (name.startsWith('=') !== isBodyRead) continue;
    if (kind === 'record') checkKind(request.person, namedBy(request, name)[0] ?? '');
    if (!namedBy(request, name).every((id) => isKnown(deps, kind, id)))
      throw new PageError(404, 'There is no page at this address.');
  }
}

/** Fields of forms that name land, whatever the form is: a foreign number is refused before the form is read. */
const landFields: Readonly<Record<string, string>> = {
  propertyId: 'property',
  unitId: 'unit',
  unitIds: 'unit',
  otherIds: 'unit',
  blockId: 'block',
  taskKey: 'task',
  entryId: 'entry',
};

function checkForm(deps: Deps, request: FastifyRequest): void {
  const { person, body } = request;
  if (person === null || person.propertyIds === null || typeof body !== 'object') return;
  for (const [field, kind] of Object.entries(landFields))
    for (const id of namedBy(request, `=${field}`))
      if (!isKnown(deps, kind, id.trim()))
        throw new PageError(404, 'There is no page at this address.');
  const row = rowOf(request);
  if (row?.of) checkScope(deps, request, row.of, true);
}

function limitRequests(limits: RequestLimits) {
  const now = () => performance.now();
  const pages = requestLimiter(limits.pages, now);
  const changes = requestLimiter(limits.changes, now);
  return (request: FastifyRequest, reply: FastifyReply): void => {
    // Calendar programs poll from behind shared addresses, and a page has several assets.
    if (/^\/(feed|assets|health)(\/|$)/.test(request.url)) return;
    const key = request.person ? `person ${request.person.id}` : `address ${request.ip}`;
    const seconds = (isReading(request) ? pages : changes)(key);
    if (seconds === 0) return;
    reply.header('retry-after', String(seconds));
    throw new PageError(429, `Too many requests at once. Wait ${seconds} seconds, then go on.`);
  };
}

function checkRole(request: FastifyRequest, row: RouteAccess): void {
  const { person } = request;
  if (person && row.least !== 'anyone' && !isAtLeast(person.role, row.least))
    throw new PageError(403, roleSentence);
}

/** Who was kept from what, for whoever looks into it later; addresses with secrets never come here. */
function logRefusal(request: FastifyRequest, error: Error & { statusCode?: number }): void {
  const { statusCode } = error;
  if (request.person === null || ![403, 404, 429].includes(statusCode ?? 500)) return;
  const { method, routeOptions, ip } = request;
  const route = `${method} ${routeOptions.url ?? ''}`;
  request.log.warn({ account: request.person.id, address: ip, route, statusCode }, 'refused');
}

/**
 * Who may what: each request is looked up in the table of routes. Without an account only this machine is answered, and
 * everybody at it may everything. The request then runs for its person, so that all it reads is
 * cut down to what they may see.
 */
export function registerAccess(app: FastifyInstance, deps: Deps, limits: RequestLimits): void {
  app.decorate('routeNames', []);
  app.addHook('onRoute', ({ method, url }) => {
    for (const one of [method].flat()) if (one !== 'HEAD') app.routeNames.push(`${one} ${url}`);
  });
  app.decorateRequest('person', null);
  app.decorateRequest('sessionId', null);
  app.decorateRequest('isSignInMissing', false);
  const limit = limitRequests(limits);
  const { access } = deps;
  const enter = async (request: FastifyRequest, reply: FastifyReply): Promise<unknown> => {
    if (!access.hasAccounts()) {
      // Behind a proxy every request comes from this machine; the last account may have gone with a restored file.
      if (isLoopback(request) && app.publicUrl === null) return undefined;
      throw new PageError(
        403,
        'Nobody has an account, so only the machine itself is answered. Make one there: user add NAME.',
      );
    }
    const isNoPage = request.is404;
    const row = rowOf(request);
    if (!isNoPage && row === null)
      throw new PageError(403, 'This address is closed: nothing says who may use it.');
    const session = readSession(request, access);
    request.person = session?.person ?? null;
    request.sessionId = session?.sessionId ?? null;
    limit(request, reply);
    if (isNoPage || row === null || row.least === 'anyone') return undefined;
    if (request.person === null) {
      const type = request.headers['content-type'] ?? '';
      request.isSignInMissing = type.startsWith('application/x-www-form-urlencoded');
      return request.isSignInMissing ? undefined : askToSignIn(request, reply);
    }
    checkRole(request, row);
    return undefined;
  };
  /** Whoever holds the address of a feed or a crew's page sees what it shows, signed in or not. */
  const personFor = (request: FastifyRequest) =>
    rowOf(request)?.least === 'anyone' ? null : request.person;
  app.addHook('onError', async (request, _reply, error) => logRefusal(request, error));
  app.after(() => {
    app.addHook('onRequest', enter);
    app.addHook('onRequest', (request, _reply, done) => access.runAs(personFor(request), done));
    app.addHook('onRequest', async (request) => {
      const row = rowOf(request);
      if (request.person && row?.of) checkScope(deps, request, row.of, false);
    });
    // Reading the body leaves the run of the request; it is entered again.
    app.addHook('preValidation', (request, _reply, done) => access.runAs(personFor(request), done));
    app.addHook('preValidation', async (request, reply) => {
      if (!request.isSignInMissing) return undefined;
      // What a hook returns is no answer: only what it sends ends the request.
      return reply.send(await showFormAgain(request, reply));
    });
    app.addHook('preValidation', async (request) => checkForm(deps, request));
  });
}
