import { entriesForScope, feedRevisedAt, feedScopes, findFeedScope } from '../core/publication.ts';
import { addFeedSource, feedEtag, renderFeed } from '../feeds/ics.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

/** Rendered feeds by name, good until the operation or the day changes. */
interface Rendered {
  revision: number;
  today: string;
  baseUrl: string;
  text: string;
  lastModified: string;
}

/** Feed addresses, and the bytes behind a token. Kept text holds no token: SOURCE is added when it is sent. */
export function webFeeds(file: OperationFile): Deps['feeds'] {
  const kept = new Map<string, Rendered>();
  const { feeds } = file.store;
  const scopes = () => feedScopes(file.operation());
  const render = (name: string, baseUrl: string): Rendered | null => {
    const today = file.today();
    const revision = file.store.revision();
    const known = kept.get(name);
    if (known?.revision === revision && known.today === today && known.baseUrl === baseUrl)
      return known;
    const scope = findFeedScope(scopes(), name);
    if (!scope) return null;
    file.publish();
    const published = file.store.published();
    const lastModified = feedRevisedAt(published, scope, today);
    const text = renderFeed(scope, entriesForScope(published, scope, today), {
      baseUrl,
      sourceUrl: null,
      revisedAt: lastModified,
    });
    const rendered = { revision, today, baseUrl, text, lastModified };
    kept.set(name, rendered);
    return rendered;
  };
  return {
    list: feeds.list,
    scopes,
    create: (name, label) => {
      if (!findFeedScope(scopes(), name)) {
        const message = `There is no feed named ${name}: pick one from the list.`;
        return { ok: false, problems: [{ code: 'feed-unknown', field: 'name', message }] };
      }
      return { ok: true, value: feeds.create(name, label) };
    },
    rotate: feeds.rotate,
    revoke: feeds.revoke,
    serve: (token, baseUrl, userAgent) => {
      const found = feeds.findByToken(token);
      if (found === null) return { kind: 'unknown' };
      if (found === 'revoked') return { kind: 'revoked' };
      const rendered = render(found.link.name, baseUrl);
      if (!rendered) return { kind: 'unknown' };
      feeds.touch(found.link.id, userAgent, new Date().toISOString());
      const fileName = `${found.link.name}.ics`;
      const source = `${baseUrl}/feed/${token}/${fileName}`;
      const body = new TextEncoder().encode(addFeedSource(rendered.text, source));
      return {
        kind: 'found',
        fileName,
        body,
        etag: feedEtag(body),
        lastModified: rendered.lastModified,
      };
    },
  };
}
