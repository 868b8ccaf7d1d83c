import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Deps, FeedLink } from '../deps.ts';
import { feedForm, ownFeedForm } from '../forms/feeds.ts';
import { changedMeanwhile, idOf, postForm, refusalStatus, seeOther } from '../forms/form.ts';
import { buttonForm } from '../forms/worklog.ts';
import { renderPane } from '../htmx.ts';
import { feedQuestion, feedsPage, issuedAddress, ownFeedPage } from '../pages/feeds.ts';
import { baseUrlOf } from '../plugins/security.ts';

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
  const baseUrl = baseUrlOf(request);
  const page = feedsPage(deps, issuedAddress(deps, link, token, baseUrl));
  const html = await renderPane(request, reply, { page: 'feeds/list' }, page);
  reply.header('cache-control', 'no-store');
  return html;
}

function registerOwnFeeds(app: FastifyInstance, deps: Deps): void {
  const template = { page: 'feeds/own' };
  app.get('/feeds/own/new', async (request, reply) =>
    renderPane(request, reply, template, ownFeedPage(deps, null)),
  );
  app.get('/feeds/own/:id', async (request, reply) =>
    renderPane(request, reply, template, ownFeedPage(deps, idOf(request))),
  );
  const save = (path: string, idIn: (request: FastifyRequest) => number | null) =>
    postForm(app, path, ownFeedForm, async (submission, request, reply) => {
      const id = idIn(request);
      const shown = ownFeedPage(deps, id, submission.form);
      const stored = ownFeedPage(deps, id).form.values;
      let { problems } = submission.form;
      if (submission.ok) problems = changedMeanwhile(request, stored, ownFeedForm.labels);
      if (submission.ok && problems.length === 0) {
        const { title, treatmentKeys = [], crewIds = [], unitIds = [] } = submission.values;
        const feed = { title, treatmentKeys, crewIds, unitIds };
        const added = id === null ? deps.feeds.own.add(feed) : null;
        if (id !== null) problems = deps.feeds.own.change({ ...feed, id });
        else if (added && !added.ok) problems = added.problems;
      }
      if (problems.length === 0) return seeOther(reply, '/feeds');
      reply.code(refusalStatus(problems));
      return renderPane(request, reply, template, {
        ...shown,
        form: { ...submission.form, problems, stored },
      });
    });
  save('/feeds/own', () => null);
  save('/feeds/own/:id', idOf);
  postForm(app, '/feeds/own/:id/remove', buttonForm, async (submission, request, reply) => {
    const id = idOf(request);
    const shown = ownFeedPage(deps, id);
    const problems = deps.feeds.own.remove(id);
    if (problems.length === 0) return seeOther(reply, '/feeds');
    reply.code(422);
    return renderPane(request, reply, template, {
      ...shown,
      form: { ...shown.form, problems: [...submission.form.problems, ...problems] },
    });
  });
}

/** `/feeds`: addresses that calendar programs read. A token is shown once, when its address is made. */
export function registerFeeds(app: FastifyInstance, deps: Deps): void {
  registerOwnFeeds(app, deps);
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
