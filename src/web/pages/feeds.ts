import type { FeedScope } from '../../core/feed-scopes.ts';
import type { Deps, FeedLink } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type Shell, shellOf } from './shell.ts';

/** An address that is shown this once. */
export interface IssuedAddress {
  label: string;
  http: string;
  webcal: string;
}

export interface FeedLine {
  id: number;
  title: string;
  label: string;
  createdAt: string;
  fetched: string;
  isRevoked: boolean;
}

export interface FeedsPage {
  shell: Shell;
  scopes: FeedScope[];
  links: FeedLine[];
  issued: IssuedAddress | null;
  form: FormState;
}

function lineOf(scopes: readonly FeedScope[], link: FeedLink): FeedLine {
  const by = link.lastFetchedBy ? ` by ${link.lastFetchedBy.slice(0, 60)}` : '';
  return {
    id: link.id,
    title: scopes.find((scope) => scope.name === link.name)?.title ?? link.name,
    label: link.label,
    createdAt: words.instant(link.createdAt),
    fetched: link.lastFetchedAt ? `${words.instant(link.lastFetchedAt)}${by}` : 'not yet',
    isRevoked: link.revokedAt !== null,
  };
}

/** What the Feeds page shows; `issued` right after an address was made. */
export function feedsPage(
  deps: Deps,
  issued: IssuedAddress | null = null,
  form: FormState = blankForm,
): FeedsPage {
  const scopes = deps.feeds.scopes();
  return {
    shell: shellOf(deps, 'feeds', 'Who sees the work on their own calendar?'),
    scopes,
    links: deps.feeds.list().map((link) => lineOf(scopes, link)),
    issued,
    form,
  };
}

/** The address of a token under the server's own address, plain and as calendar programs open it. */
export function issuedAddress(link: FeedLink, token: string, baseUrl: string): IssuedAddress {
  const http = `${baseUrl}/feed/${token}/${encodeURIComponent(link.name)}.ics`;
  return { label: link.label, http, webcal: http.replace(/^https?:/, 'webcal:') };
}

/** A question about one address before it is replaced or ended. */
export interface FeedQuestionPage {
  shell: Shell;
  link: FeedLine;
  form: FormState;
}

/** Throws 404 for an address that is not there or was ended. */
export function feedQuestion(
  deps: Deps,
  linkId: number,
  title: string,
  form: FormState = blankForm,
): FeedQuestionPage {
  const link = deps.feeds.list().find((one) => one.id === linkId && one.revokedAt === null);
  if (!link) throw new PageError(404, 'This feed address is not there any more.');
  return { shell: shellOf(deps, 'feeds', title), link: lineOf(deps.feeds.scopes(), link), form };
}
