import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Deps, FeedLink } from '../deps.ts';
import { feedForm } from '../forms/feeds.ts';
import { idOf, postForm, seeOther } from '../forms/form.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { feedQuestion, feedsPage, issuedAddress } from '../pages/feeds.ts';

const rotateTitle = 'Replace this address?';
const revokeTitle = 'End this address?';

/** The page with the new address on it. It is not kept anywhere, so the answer is not a redirect. */
async function showIssued(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  link: FeedLink,
  token: string,
): Promise<string> {
  const baseUrl = `${request.protocol}://${request.host}`;
  const page = feedsPage(deps, issuedAddress(link, token, baseUrl));
  const html = await renderPane(request, reply, { page: 'feeds/list' }, page);
  reply.header('cache-control', 'no-store');
  return html;
}

/** `/feeds`: addresses that calendar programs read. A token is shown once, when its address is made. */
export function registerFeeds(app: FastifyInstance, deps: Deps): void {
  app.get('/feeds', async (request, reply) =>
    renderPane(request, reply, { page: 'feeds/list' }, feedsPage(deps)),
  );
  postForm(app, '/feeds', feedForm, async (submission, request, reply) => {
    let { problems } = submission.form;
    if (submission.ok) {
      const { name, label, mayReport } = submission.values;
      const made = deps.feeds.create(name, label, mayReport === 'yes');
      if (made.ok) return showIssued(deps, request, reply, made.value.link, made.value.token);
      problems = made.problems;
    }
    reply.code(422);
    const page = feedsPage(deps, null, { ...submission.form, problems });
    return renderPane(request, reply, { page: 'feeds/list' }, page);
  });
  app.get('/feeds/:id/rotate', async (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'feeds/rotate' },
      feedQuestion(deps, idOf(request), rotateTitle),
    ),
  );
  postForm(app, '/feeds/:id/rotate', buttonForm, async (submission, request, reply) => {
    const linkId = idOf(request);
    const shown = feedQuestion(deps, linkId, rotateTitle);
    const made = deps.feeds.rotate(linkId);
    if (made.ok) return showIssued(deps, request, reply, made.value.link, made.value.token);
    reply.code(422);
    const form = { ...submission.form, problems: made.problems };
    return renderPane(request, reply, { page: 'feeds/rotate' }, { ...shown, form });
  });
  app.get('/feeds/:id/revoke', async (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'feeds/revoke' },
      feedQuestion(deps, idOf(request), revokeTitle),
    ),
  );
  postForm(app, '/feeds/:id/revoke', buttonForm, async (submission, request, reply) => {
    const linkId = idOf(request);
    const shown = feedQuestion(deps, linkId, revokeTitle);
    const problems = deps.feeds.revoke(linkId);
    if (problems.length === 0) return seeOther(reply, '/feeds');
    reply.code(422);
    const form = { ...submission.form, problems };
    return renderPane(request, reply, { page: 'feeds/revoke' }, { ...shown, form });
  });
}
