import { monthDay } from '../../core/dates.ts';
import { type FeedScope, findFeedScope, type OwnFeed } from '../../core/feed-scopes.ts';
import type { Operation } from '../../core/operation.ts';
import { burningSeasonName, burningSeasonOf } from '../../core/seasons.ts';
import type { Deps, FeedLink } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type QrCode, qrCode } from './qr-code.ts';
import { type Shell, shellOf, todayOf } from './shell.ts';

/** An address that is shown this once. */
export interface IssuedAddress {
  label: string;
  title: string;
  http: string;
  webcal: string;
  google: string;
  withAlarms: string;
  withToDos: string;
  qr: QrCode;
  /** The page on which a crew marks its tasks; null when the address is for reading alone. */
  crewPage: { address: string; qr: QrCode } | null;
  /** The host is this machine's own name, so no other machine can fetch the feed. */
  isThisMachineOnly: boolean;
}

/** A feed that somebody put together, in words. */
export interface OwnFeedLine {
  id: number;
  title: string;
  shows: string;
}

export interface FeedLine {
  id: number;
  title: string;
  label: string;
  createdAt: string;
  fetched: string;
  isRevoked: boolean;
  mayReport: boolean;
}

export interface FeedsPage {
  shell: Shell;
  scopes: FeedScope[];
  links: FeedLine[];
  own: OwnFeedLine[];
  seasons: { season: number; name: string }[];
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
    mayReport: link.mayReport,
  };
}

/** What the Feeds page shows; `issued` right after an address was made. */
export function feedsPage(
  deps: Deps,
  issued: IssuedAddress | null = null,
  form: FormState = blankForm,
): FeedsPage {
  const scopes = deps.feeds.scopes();
  const first = deps.operation().properties[0];
  const season = burningSeasonOf(todayOf(deps), first?.burningSeasonStart ?? monthDay('07-01'));
  return {
    shell: shellOf(deps, 'feeds', 'Who sees the work on their own calendar?'),
    scopes,
    links: deps.feeds.list().map((link) => lineOf(scopes, link)),
    own: deps.feeds.own.list().map((feed) => ({
      id: feed.id,
      title: feed.title,
      shows: ownFeedWords(deps.operation(), feed),
    })),
    seasons: [season, season + 1].map((one) => ({ season: one, name: burningSeasonName(one) })),
    issued,
    form,
  };
}

function ownFeedWords(operation: Operation, feed: OwnFeed): string {
  const namesOf = (all: string, names: string[]) => (names.length === 0 ? all : words.list(names));
  const { treatments, crews, units } = operation;
  return [
    namesOf(
      'all treatments',
      treatments.filter((one) => feed.treatmentKeys.includes(one.key)).map((one) => one.name),
    ),
    namesOf(
      'all crews',
      crews.filter((one) => feed.crewIds.includes(one.id)).map((one) => one.name),
    ),
    namesOf(
      'all units',
      units.filter((one) => feed.unitIds.includes(one.id)).map((one) => one.code),
    ),
  ].join('; ');
}

/** The page on which a feed of one's own is put together or changed. */
export interface OwnFeedPage {
  shell: Shell;
  /** Null for a new one. */
  id: number | null;
  /** Checkboxes by field. */
  choices: {
    field: string;
    legend: string;
    options: { key: string; name: string; isTicked: boolean }[];
  }[];
  form: FormState;
}

/** Throws 404 for a feed that is not there. Without a form as typed, the stored feed is shown. */
export function ownFeedPage(
  deps: Deps,
  id: number | null,
  typed: FormState | null = null,
): OwnFeedPage {
  const feed = id === null ? null : deps.feeds.own.list().find((one) => one.id === id);
  if (feed === undefined) throw new PageError(404, 'This feed is not there any more.');
  const form = typed ?? {
    problems: [],
    values: {
      title: feed?.title ?? '',
      treatmentKeys: (feed?.treatmentKeys ?? []).join(','),
      crewIds: (feed?.crewIds ?? []).join(','),
      unitIds: (feed?.unitIds ?? []).join(','),
    },
  };
  const { treatments, crews, units } = deps.operation();
  const choice = (field: string, legend: string, all: { key: string; name: string }[]) => {
    const ticked = (form.values[field] ?? '').split(',');
    const options = all.map(({ key, name }) => ({ key, name, isTicked: ticked.includes(key) }));
    return { field, legend, options };
  };
  return {
    shell: shellOf(deps, 'feeds', id === null ? 'A feed of your own' : 'Change this feed'),
    id,
    choices: [
      choice('treatmentKeys', 'Treatments', treatments),
      choice('crewIds', 'Crews', crews.map(keyed)),
      choice(
        'unitIds',
        'Units',
        units.map((unit) => ({ key: String(unit.id), name: unit.code })),
      ),
    ],
    form,
  };
}

const keyed = ({ id, name }: { id: number; name: string }) => ({ key: String(id), name });

const ownNames = ['localhost', '127.0.0.1', '[::1]'];

/** The address of a token under the server's own address, plain and as calendar programs open it. */
export function issuedAddress(
  deps: Deps,
  link: FeedLink,
  token: string,
  baseUrl: string,
): IssuedAddress {
  const http = `${baseUrl}/feed/${token}/${encodeURIComponent(link.name)}.ics`;
  const webcal = http.replace(/^https?:/, 'webcal:');
  const crewAddress = `${baseUrl}/crew/${token}`;
  const scope = findFeedScope(deps.feeds.scopes(), link.name);
  return {
    label: link.label,
    title: scope?.title ?? link.name,
    http,
    webcal,
    google: `https://calendar.google.com/calendar/r?cid=${encodeURIComponent(webcal)}`,
    withAlarms: `${http}?alarms=1`,
    withToDos: `${http}?tasks=1`,
    qr: qrCode(http),
    crewPage: link.mayReport ? { address: crewAddress, qr: qrCode(crewAddress) } : null,
    isThisMachineOnly: ownNames.includes(new URL(baseUrl).hostname),
  };
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
