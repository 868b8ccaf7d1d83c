import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { mayManage } from '../../core/accounts.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps, RequestOrigin } from '../deps.ts';
import {
  accountForm,
  accountRowOf,
  changePasswordForm,
  firstForm,
  newPasswordForm,
  notTheSame,
  signInForm,
  withoutPasswords,
} from '../forms/access.ts';
import { changedMeanwhile, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import {
  accountChangedMeanwhile,
  accountPage,
  accountValues,
  managedAccount,
  newPasswordPage,
  peoplePage,
  personPage,
  signInPage,
} from '../pages/access.ts';
import { PageError } from '../plugins/errors.ts';
import { baseUrlOf } from '../plugins/security.ts';
import { dropSession, readSession, setSession } from '../plugins/session-cookie.ts';

const originOf = (request: FastifyRequest): RequestOrigin => ({
  userAgent: request.headers['user-agent'] ?? '',
  address: request.ip,
});

/** A path of this site; anything else leads to the first page. */
export function localPath(next: string | undefined): string {
  return next && /^\/(?![/\\])[^\\\s]*$/.test(next) ? next : '/';
}

/** Addresses with a secret in them are told to nobody. */
function secretly(reply: FastifyReply): FastifyReply {
  return reply.header('referrer-policy', 'no-referrer').header('x-robots-tag', 'noindex');
}

async function showSecretly(
  request: FastifyRequest,
  reply: FastifyReply,
  page: string,
  model: object,
): Promise<string> {
  const html = await renderPane(request, secretly(reply), { page }, model);
  reply.header('cache-control', 'no-store');
  return html;
}

/** A token is new at every sign-in; the session that the browser had before ends. */
function startSession(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  token: string,
): void {
  const before = readSession(request, deps.access);
  if (before) deps.access.endSession(before.person.id, before.sessionId);
  setSession(request, reply, token);
}

const refused: Problem = {
  code: 'refused',
  field: 'name',
  message: 'Name or password: they do not belong together, or the account is out of use.',
};

function registerSignIn(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Record<string, string | undefined> }>(
    '/sign-in',
    async (request, reply) => {
      if (!deps.access.hasAccounts()) return seeOther(reply, '/people-access');
      return showSecretly(
        request,
        reply,
        'access/sign-in',
        signInPage(localPath(request.query['next'])),
      );
    },
  );
  postForm(app, '/sign-in', signInForm, async (submission, request, reply) => {
    const form = withoutPasswords(submission.form);
    const next = localPath(form.values['next']);
    const again = (status: number, problems: Problem[]) => {
      reply.code(status);
      return showSecretly(
        request,
        reply,
        'access/sign-in',
        signInPage(next, { ...form, problems }),
      );
    };
    if (!submission.ok) return again(422, form.problems);
    const { name, password } = submission.values;
    const answer = await deps.access.signIn(name, password, originOf(request));
    // The name as typed may be a password in the wrong field, so it is left out.
    const known = answer.kind === 'signed-in' ? deps.access.find(answer.token) : null;
    const account = known?.person.id ?? null;
    request.log.warn({ account, address: request.ip }, `sign-in: ${answer.kind}`);
    if (answer.kind === 'refused') return again(401, [refused]);
    if (answer.kind === 'wait') {
      reply.header('retry-after', String(answer.seconds));
      const message = `Too many tries went wrong. Wait ${answer.seconds} seconds, then try again.`;
      return again(429, [{ code: 'wait', message }]);
    }
    startSession(deps, request, reply, answer.token);
    return seeOther(reply, next);
  });
  postForm(app, '/sign-out', buttonForm, async (_submission, request, reply) => {
    const session = readSession(request, deps.access);
    if (session) deps.access.endSession(session.person.id, session.sessionId);
    dropSession(request, reply);
    // Not the storage: it may hold entries that were typed without signal and are not sent yet.
    reply.header('clear-site-data', '"cache"');
    return seeOther(reply, '/sign-in');
  });
}

function registerNewPassword(app: FastifyInstance, deps: Deps): void {
  const tokenOf = (request: FastifyRequest) => (request.params as { token: string }).token;
  app.get('/new-password/:token', async (request, reply) => {
    const page = newPasswordPage(deps, tokenOf(request));
    if (page.name === null) reply.code(410);
    return showSecretly(request, reply, 'access/new-password', page);
  });
  postForm(app, '/new-password/:token', newPasswordForm, async (submission, request, reply) => {
    const token = tokenOf(request);
    let { problems } = submission.form;
    if (submission.ok) {
      const { password, again } = submission.values;
      problems = password === again ? await deps.access.setByLink(token, password) : [notTheSame];
      if (problems.length === 0) return seeOther(reply, '/sign-in');
    }
    reply.code(422);
    const form = { ...withoutPasswords(submission.form), problems };
    const page = newPasswordPage(deps, token, form);
    return showSecretly(request, reply, 'access/new-password', page);
  });
}

/** The account of the request; pages of one's own are for people who are signed in. */
function ownId(request: FastifyRequest): number {
  if (request.person === null) throw new PageError(404, 'There are no accounts yet.');
  return request.person.id;
}

function registerOwn(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'access/account' };
  app.get('/account', async (request, reply) =>
    renderPane(request, reply, template, accountPage(deps, request.sessionId)),
  );
  postForm(app, '/account/password', changePasswordForm, async (submission, request, reply) => {
    const id = ownId(request);
    let { problems } = submission.form;
    if (submission.ok) {
      const { present, password, again } = submission.values;
      if (password !== again) problems = [notTheSame];
      else {
        const from = originOf(request);
        const changed = await deps.access.changePassword(id, present, password, from);
        if (changed.ok) {
          setSession(request, reply, changed.value);
          return seeOther(reply, '/account');
        }
        problems = changed.problems;
      }
    }
    reply.code(422);
    const form = { ...withoutPasswords(submission.form), problems };
    return renderPane(request, reply, template, accountPage(deps, request.sessionId, form));
  });
  postForm(app, '/account/sessions/:id/end', buttonForm, async (_submission, request, reply) => {
    deps.access.endSession(ownId(request), idOf(request));
    return seeOther(reply, '/account');
  });
  postForm(app, '/account/sessions/end-others', buttonForm, async (_s, request, reply) => {
    deps.access.endSessions(ownId(request), request.sessionId);
    return seeOther(reply, '/account');
  });
}

/** The page with a link on it. It is not kept anywhere, so the answer is not a redirect. */
function showLink(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  id: number,
): Promise<string> {
  const account = managedAccount(deps, id);
  const made = deps.access.makeLink(id);
  if (!made.ok) throw new PageError(422, made.problems[0]?.message ?? '');
  const issued = {
    name: account.name,
    address: `${baseUrlOf(request)}/new-password/${made.value}`,
  };
  return showSecretly(request, reply, 'access/people', peoplePage(deps, undefined, issued));
}

const beyondOwn: Problem = {
  code: 'beyond-own',
  field: 'properties',
  message: 'Properties: your account is limited to some; choose only of these, and no landowner.',
};

function registerFirst(app: FastifyInstance, deps: Deps): void {
  postForm(app, '/people-access/first', firstForm, async (submission, request, reply) => {
    if (deps.access.hasAccounts()) throw new PageError(403, 'There is an administrator already.');
    const form = withoutPasswords(submission.form);
    let { problems } = submission.form;
    if (submission.ok) {
      const { name, password, again } = submission.values;
      const row = { name, role: 'administrator', hasAllProperties: true } as const;
      const made =
        password === again
          ? await deps.access.add({ ...row, landownerId: null, propertyIds: [] }, password)
          : { ok: false as const, problems: [notTheSame] };
      if (made.ok) return seeOther(reply, '/sign-in?next=/people-access');
      problems = made.problems;
    }
    reply.code(422);
    const page = peoplePage(deps, { ...form, problems });
    return renderPane(request, reply, { page: 'access/people' }, page);
  });
}

function registerPeople(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'access/people' };
  app.get('/people-access', async (request, reply) =>
    renderPane(request, reply, template, peoplePage(deps)),
  );
  postForm(app, '/people-access', accountForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    if (submission.ok) {
      const row = accountRowOf(submission.values);
      const made = mayManage(request.person, row)
        ? await deps.access.add(row, null)
        : { ok: false as const, problems: [beyondOwn] };
      if (made.ok) return showLink(deps, request, reply, made.value);
      problems = made.problems;
    }
    reply.code(422);
    const page = peoplePage(deps, { ...submission.form, problems });
    return renderPane(request, reply, template, page);
  });
}

function registerPerson(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'access/person' };
  const accountOf = (request: FastifyRequest) => managedAccount(deps, idOf(request));
  app.get('/people-access/:id', async (request, reply) =>
    renderPane(request, reply, template, personPage(deps, accountOf(request))),
  );
  postForm(app, '/people-access/:id', accountForm, async (submission, request, reply) => {
    const account = accountOf(request);
    let { problems } = submission.form;
    if (submission.ok) {
      const row = accountRowOf(submission.values);
      const changed = changedMeanwhile(request, accountValues(account), accountForm.labels);
      if (changed.length > 0) problems = [accountChangedMeanwhile(deps, account)];
      else if (!mayManage(request.person, row)) problems = [beyondOwn];
      else problems = deps.access.change(account.id, row);
      if (problems.length === 0) return seeOther(reply, '/people-access');
    }
    reply.code(refusalStatus(problems));
    const page = personPage(deps, account, { ...submission.form, problems });
    return renderPane(request, reply, template, page);
  });
  const button = (path: string, change: (id: number) => Problem[], next: string) =>
    postForm(app, `/people-access/:id/${path}`, buttonForm, async (submission, request, reply) => {
      const account = accountOf(request);
      const problems = change(account.id);
      if (problems.length === 0) return seeOther(reply, next.replace(':id', String(account.id)));
      reply.code(422);
      const shown = personPage(deps, account);
      const form = { ...shown.form, problems: [...submission.form.problems, ...problems] };
      return renderPane(request, reply, template, { ...shown, form });
    });
  button('retire', deps.access.retire, '/people-access');
  button('back', deps.access.bringBack, '/people-access/:id');
  const endAll = (id: number) => {
    deps.access.endSessions(id, null);
    return [];
  };
  button('sessions/end', endAll, '/people-access/:id');
  postForm(app, '/people-access/:id/link', buttonForm, async (_submission, request, reply) =>
    showLink(deps, request, reply, accountOf(request).id),
  );
}

/** Signing in and out, one's own account, and who may sign in. */
export function registerAccessPages(app: FastifyInstance, deps: Deps): void {
  registerSignIn(app, deps);
  registerNewPassword(app, deps);
  registerOwn(app, deps);
  registerFirst(app, deps);
  registerPeople(app, deps);
  registerPerson(app, deps);
}
