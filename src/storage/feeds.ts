import { createHash, randomBytes } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { Outcome, Problem } from '../core/problems.ts';
import { utcSeconds } from './changes.ts';

/** An address under which a feed can be fetched; its token is never stored. */
export interface FeedLink {
  id: number;
  /** Name of the feed scope. */
  name: string;
  /** Who holds the address, in the user's words. */
  label: string;
  createdAt: string;
  lastFetchedAt: string | null;
  lastFetchedBy: string | null;
  revokedAt: string | null;
  /** May also mark the tasks of a crew done. */
  mayReport: boolean;
}

/** A link with its token: the only time the token is seen. */
export interface NewFeedLink {
  token: string;
  link: FeedLink;
}

const linkColumns = `id, name, label, created_at AS createdAt, last_fetched_at AS lastFetchedAt,
  last_fetched_by AS lastFetchedBy, revoked_at AS revokedAt, may_report AS mayReport`;

type FeedLinkRow = Omit<FeedLink, 'mayReport'> & { mayReport: number };

function toLink(row: FeedLinkRow): FeedLink {
  return { ...row, mayReport: row.mayReport === 1 };
}

/** Days for which the old address of a replaced link still tells so. */
export const replacedDays = 30;

/** What a token leads to; null = it was never issued. */
export type FoundToken = { link: FeedLink } | { replaced: FeedLink; at: string } | 'revoked' | null;

/** Characters of a user agent that are kept. */
const userAgentLengthMost = 200;

function newToken(): string {
  return randomBytes(32).toString('base64url');
}

function hashOf(token: string): Buffer {
  return createHash('sha256').update(token).digest();
}

function problemOf(code: string, message: string): Problem[] {
  return [{ code, message }];
}

/**
 * Feed addresses. A token is found by its SHA-256 in an index: how long that takes says nothing about the
 * token, because nobody can choose hashes that come near a stored one.
 */
export function feedRepository(db: Database, now: () => Date) {
  const list = db.prepare<[], FeedLinkRow>(`SELECT ${linkColumns} FROM feed_link ORDER BY id`);
  const find = db.prepare<[number], FeedLinkRow>(
    `SELECT ${linkColumns} FROM feed_link WHERE id = ?`,
  );
  const findByHash = db.prepare<[Buffer], FeedLinkRow>(
    `SELECT ${linkColumns} FROM feed_link WHERE token_hash = ?`,
  );
  const findRetired = db.prepare<[Buffer], { linkId: number; retiredAt: string }>(
    `SELECT feed_link_id AS linkId, retired_at AS retiredAt FROM retired_feed_token
     WHERE token_hash = ?`,
  );
  const insert = db.prepare(
    'INSERT INTO feed_link (name, label, token_hash, created_at, may_report) VALUES (?, ?, ?, ?, ?)',
  );
  const retire = db.prepare(
    `INSERT INTO retired_feed_token (token_hash, feed_link_id, retired_at)
     SELECT token_hash, id, @at FROM feed_link WHERE id = @id`,
  );
  const setToken = db.prepare(
    `UPDATE feed_link SET token_hash = ?, last_fetched_at = NULL, last_fetched_by = NULL WHERE id = ?`,
  );
  const revoke = db.prepare(
    'UPDATE feed_link SET revoked_at = ? WHERE id = ? AND revoked_at IS NULL',
  );
  const touch = db.prepare(
    'UPDATE feed_link SET last_fetched_by = ?, last_fetched_at = ? WHERE id = ?',
  );

  const findLink = (id: number): FeedLink | null => {
    const row = find.get(id);
    return row ? toLink(row) : null;
  };
  const create = (name: string, label: string, mayReport = false): NewFeedLink => {
    const token = newToken();
    const stamp = utcSeconds(now);
    const { lastInsertRowid } = insert.run(name, label, hashOf(token), stamp, mayReport ? 1 : 0);
    return { token, link: findLink(Number(lastInsertRowid)) as FeedLink };
  };
  const rotate = (id: number): Outcome<NewFeedLink> => {
    const link = findLink(id);
    if (!link)
      return { ok: false, problems: problemOf('feed-unknown', 'There is no such feed address.') };
    if (link.revokedAt !== null) {
      const message = 'This feed address was revoked: make a new one.';
      return { ok: false, problems: problemOf('feed-revoked', message) };
    }
    const token = newToken();
    retire.run({ id, at: utcSeconds(now) });
    setToken.run(hashOf(token), id);
    return { ok: true, value: { token, link: findLink(id) as FeedLink } };
  };

  return {
    list: (): FeedLink[] => list.all().map(toLink),
    create: db.transaction(create).immediate,
    /** Gives the link a new token; for 30 days the old one is known as replaced, then as revoked. */
    rotate: db.transaction(rotate).immediate,
    revoke: (id: number): Problem[] => {
      if (!find.get(id)) return problemOf('feed-unknown', 'There is no such feed address.');
      revoke.run(utcSeconds(now), id);
      return [];
    },
    /** `replaced`: an old token of a link that goes on, in its first 30 days, with the instant it was replaced. */
    findByToken: (token: string): FoundToken => {
      const hash = hashOf(token);
      const row = findByHash.get(hash);
      if (row) return row.revokedAt === null ? { link: toLink(row) } : 'revoked';
      const retired = findRetired.get(hash);
      if (!retired) return null;
      const link = findLink(retired.linkId);
      const endsAt = Date.parse(retired.retiredAt) + replacedDays * 86_400_000;
      return link && link.revokedAt === null && now().getTime() < endsAt
        ? { replaced: link, at: retired.retiredAt }
        : 'revoked';
    },
    /** Notes who fetched a feed and when (UTC instant). */
    touch: (id: number, userAgent: string, at: string): void => {
      touch.run(userAgent.slice(0, userAgentLengthMost), at, id);
    },
  };
}
