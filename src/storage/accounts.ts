import { createHash, randomBytes } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import {
  type Account,
  type AccountRow,
  checkAccount,
  type Role,
  signInName,
} from '../core/accounts.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { utcSeconds } from './changes.ts';
import { wroteIfDiskAllows } from './write-faults.ts';

/** A browser that is signed in. */
export interface Session {
  id: number;
  accountId: number;
  startedAt: string;
  lastSeenAt: string;
  userAgent: string;
  address: string;
}

/** Hours without a request after which a session ends, and days after which it ends in any case. */
export const sessionIdleHours = 12;
export const sessionDays = 7;
/** Hours that a link for a new password holds. */
export const linkHours = 24;
/** Where a request comes from, cut to this many characters. */
const whereLengthMost = 200;
/** Seconds between two notes of when a session was last seen: each is a write. */
const noteSeconds = 60;

type StoredAccount = {
  id: number;
  name: string;
  role: Role;
  hasAll: number;
  landownerId: number | null;
  createdAt: string;
  retiredAt: string | null;
  hasPassword: number;
};

const accountColumns = `account.id, name, role, has_all_properties AS hasAll, landowner_id AS landownerId,
  created_at AS createdAt, retired_at AS retiredAt,
  EXISTS (SELECT 1 FROM account_password WHERE account_id = account.id) AS hasPassword`;

const sessionColumns = `id, account_id AS accountId, started_at AS startedAt, last_seen_at AS lastSeenAt,
  user_agent AS userAgent, address`;

function newToken(): string {
  return randomBytes(32).toString('base64url');
}

function hashOf(token: string): Buffer {
  return createHash('sha256').update(token).digest();
}

const say = (code: string, message: string, field?: string): Problem[] => [
  { code, message, ...(field === undefined ? {} : { field }) },
];

const noAccount = say('account-unknown', 'There is no such account.');

/** Sessions by the SHA-256 of their token. */
function sessions(db: Database, now: () => Date) {
  const insert = db.prepare(
    `INSERT INTO session (account_id, token_hash, started_at, last_seen_at, user_agent, address)
     VALUES (@accountId, @hash, @at, @at, @userAgent, @address)`,
  );
  const find = db.prepare<[Buffer], Session>(
    `SELECT ${sessionColumns} FROM session WHERE token_hash = ?`,
  );
  const ofAccount = db.prepare<[number], Session>(
    `SELECT ${sessionColumns} FROM session WHERE account_id = ? ORDER BY last_seen_at DESC, id DESC`,
  );
  const touch = db.prepare('UPDATE session SET last_seen_at = ? WHERE id = ?');
  const end = db.prepare('DELETE FROM session WHERE id = ? AND account_id = ?');
  const endOthers = db.prepare('DELETE FROM session WHERE account_id = ? AND id IS NOT ?');
  const endOld = db.prepare('DELETE FROM session WHERE last_seen_at < ? OR started_at < ?');
  const before = (hours: number) => utcSeconds(() => new Date(now().getTime() - hours * 3_600_000));
  const dropOld = () => endOld.run(before(sessionIdleHours), before(sessionDays * 24));
  return {
    /** A new session; its token is seen this once. */
    start: (accountId: number, userAgent: string, address: string): string => {
      dropOld();
      const token = newToken();
      insert.run({
        accountId,
        hash: hashOf(token),
        at: utcSeconds(now),
        userAgent: userAgent.slice(0, whereLengthMost),
        address: address.slice(0, whereLengthMost),
      });
      return token;
    },
    /** The session of a token, noted as seen now; null when it ended. */
    find: (token: string): Session | null => {
      const session = find.get(hashOf(token));
      if (!session) return null;
      const isOver =
        session.lastSeenAt < before(sessionIdleHours) ||
        session.startedAt < before(sessionDays * 24);
      if (isOver) {
        end.run(session.id, session.accountId);
        return null;
      }
      if (now().getTime() - Date.parse(session.lastSeenAt) > noteSeconds * 1000)
        wroteIfDiskAllows(() => touch.run(utcSeconds(now), session.id));
      return session;
    },
    /** Those that have not ended, newest first. */
    list: (accountId: number): Session[] => {
      dropOld();
      return ofAccount.all(accountId);
    },
    end: (id: number, accountId: number): void => {
      end.run(id, accountId);
    },
    /** Ends all but one; null = all. */
    endOthers: (accountId: number, keepId: number | null): void => {
      endOthers.run(accountId, keepId);
    },
  };
}

/** Passwords as kept, and links to set a new one. */
function passwords(db: Database, now: () => Date) {
  const find = db
    .prepare<[number], string>('SELECT password_hash FROM account_password WHERE account_id = ?')
    .pluck();
  const set = db.prepare(
    `INSERT INTO account_password (account_id, password_hash, changed_at) VALUES (?, ?, ?)
     ON CONFLICT (account_id) DO UPDATE SET password_hash = excluded.password_hash,
       changed_at = excluded.changed_at`,
  );
  const addLink = db.prepare(
    `INSERT INTO password_link (token_hash, account_id, expires_at) VALUES (@hash, @accountId, @at)
     ON CONFLICT (account_id) DO UPDATE SET token_hash = excluded.token_hash,
       expires_at = excluded.expires_at`,
  );
  const findLink = db.prepare<[Buffer], { accountId: number; expiresAt: string }>(
    `SELECT account_id AS accountId, expires_at AS expiresAt FROM password_link WHERE token_hash = ?`,
  );
  const dropLink = db.prepare('DELETE FROM password_link WHERE account_id = ?');
  return {
    hashOf: (accountId: number): string | null => find.get(accountId) ?? null,
    /** Uses up the link of the account, too. */
    set: (accountId: number, hash: string): void => {
      set.run(accountId, hash, utcSeconds(now));
      dropLink.run(accountId);
    },
    /** A link for a new password; an earlier one of the account ends. */
    makeLink: (accountId: number): string => {
      const token = newToken();
      const ends = new Date(now().getTime() + linkHours * 3_600_000);
      addLink.run({ hash: hashOf(token), accountId, at: utcSeconds(() => ends) });
      return token;
    },
    accountOfLink: (token: string): number | null => {
      const link = findLink.get(hashOf(token));
      return link && link.expiresAt > utcSeconds(now) ? link.accountId : null;
    },
    dropLink: (accountId: number): void => {
      dropLink.run(accountId);
    },
  };
}

/** Rows of accounts with the properties they are limited to. */
function accountRows(db: Database, now: () => Date) {
  const list = db.prepare<[], StoredAccount>(
    `SELECT ${accountColumns} FROM account ORDER BY sign_in_name`,
  );
  const find = db.prepare<[number], StoredAccount>(
    `SELECT ${accountColumns} FROM account WHERE id = ?`,
  );
  const findName = db.prepare<[string], StoredAccount>(
    `SELECT ${accountColumns} FROM account WHERE sign_in_name = ?`,
  );
  const propertyIds = db
    .prepare<[number], number>(
      'SELECT property_id FROM account_property WHERE account_id = ? ORDER BY property_id',
    )
    .pluck();
  const insert = db.prepare(
    `INSERT INTO account (name, sign_in_name, role, has_all_properties, landowner_id, created_at)
     VALUES (@name, @signInName, @role, @hasAll, @landownerId, @at)`,
  );
  const update = db.prepare(
    `UPDATE account SET name = @name, sign_in_name = @signInName, role = @role,
       has_all_properties = @hasAll, landowner_id = @landownerId WHERE id = @id`,
  );
  const clearProperties = db.prepare('DELETE FROM account_property WHERE account_id = ?');
  const addProperty = db.prepare(
    'INSERT INTO account_property (account_id, property_id) VALUES (?, ?)',
  );
  const retire = db.prepare('UPDATE account SET retired_at = ? WHERE id = ?');
  const read = ({ hasAll, hasPassword, ...row }: StoredAccount): Account => ({
    ...row,
    hasAllProperties: hasAll === 1,
    hasPassword: hasPassword === 1,
    propertyIds: propertyIds.all(row.id),
  });
  const columnsOf = (row: AccountRow) => ({
    name: row.name.trim(),
    signInName: signInName(row.name),
    role: row.role,
    hasAll: Number(row.hasAllProperties),
    landownerId: row.hasAllProperties ? null : row.landownerId,
  });
  const setProperties = (id: number, row: AccountRow): void => {
    clearProperties.run(id);
    if (!row.hasAllProperties)
      for (const propertyId of new Set(row.propertyIds)) addProperty.run(id, propertyId);
  };
  const reading = (row: StoredAccount | undefined) => (row ? read(row) : null);
  return {
    list: (): Account[] => list.all().map(read),
    find: (id: number): Account | null => reading(find.get(id)),
    findName: (name: string): Account | null => reading(findName.get(signInName(name))),
    insert: (row: AccountRow): number => {
      const { lastInsertRowid } = insert.run({ ...columnsOf(row), at: utcSeconds(now) });
      setProperties(Number(lastInsertRowid), row);
      return Number(lastInsertRowid);
    },
    update: (id: number, row: AccountRow): void => {
      update.run({ ...columnsOf(row), id });
      setProperties(id, row);
    },
    setRetired: (id: number, isRetired: boolean): void => {
      retire.run(isRetired ? utcSeconds(now) : null, id);
    },
  };
}

/** Somebody must be left who may let others in. */
function lastAdministratorProblems(all: readonly Account[], id: number): Problem[] {
  const isOne = (one: Account) =>
    one.id !== id &&
    one.retiredAt === null &&
    one.role === 'administrator' &&
    one.hasAllProperties &&
    one.hasPassword;
  if (all.some(isOne)) return [];
  const message =
    'This is the only administrator of all properties who can sign in: make another one first.';
  return say('last-administrator', message, 'role');
}

/**
 * People who may sign in. Every write is one transaction and takes passwords as hashes; who may change whom is for the
 * caller.
 */
export function accountStore(db: Database, now: () => Date) {
  const rows = accountRows(db, now);
  const ownSessions = sessions(db, now);
  const ownPasswords = passwords(db, now);
  const hasAny = db
    .prepare<[], number>('SELECT EXISTS (SELECT 1 FROM account WHERE retired_at IS NULL)')
    .pluck();
  const rowProblems = (row: AccountRow, id: number | null): Problem[] => {
    const twin = rows.findName(row.name);
    const problems = checkAccount(row);
    if (twin && twin.id !== id)
      problems.push(...say('account-twin', 'Name: somebody has it already; add a letter.', 'name'));
    return problems;
  };
  const refuse = (problems: Problem[]): Outcome<never> => ({ ok: false, problems });
  const add = (row: AccountRow, passwordHash: string | null): Outcome<number> => {
    const isFirst = hasAny.get() !== 1;
    const problems = rowProblems(row, null);
    if (isFirst && !(row.role === 'administrator' && row.hasAllProperties))
      problems.push(
        ...say('first-account', 'The first account is an administrator of all properties.', 'role'),
      );
    if (isFirst && passwordHash === null)
      problems.push(...say('first-account', 'Password: the first account needs one.', 'password'));
    if (problems.length > 0) return refuse(problems);
    const id = rows.insert(row);
    if (passwordHash !== null) ownPasswords.set(id, passwordHash);
    return { ok: true, value: id };
  };
  const change = (id: number, row: AccountRow): Problem[] => {
    const before = rows.find(id);
    if (!before) return noAccount;
    const isKept = row.role === 'administrator' && row.hasAllProperties;
    const problems = [
      ...rowProblems(row, id),
      ...(isKept ? [] : lastAdministratorProblems(rows.list(), id)),
    ];
    if (problems.length === 0) rows.update(id, row);
    return problems;
  };
  const retire = (id: number): Problem[] => {
    if (!rows.find(id)) return noAccount;
    const problems = lastAdministratorProblems(rows.list(), id);
    if (problems.length > 0) return problems;
    rows.setRetired(id, true);
    ownSessions.endOthers(id, null);
    ownPasswords.dropLink(id);
    return [];
  };
  const setPassword = (id: number, hash: string, keepSessionId: number | null): void => {
    ownPasswords.set(id, hash);
    ownSessions.endOthers(id, keepSessionId);
  };
  return {
    /** True as soon as there is one in use: from then on everybody signs in. */
    hasAny: (): boolean => hasAny.get() === 1,
    list: rows.list,
    find: rows.find,
    findName: rows.findName,
    add: db.transaction(add).immediate,
    change: db.transaction(change).immediate,
    /** Ends its sessions, too. */
    retire: db.transaction(retire).immediate,
    bringBack: (id: number): Problem[] => {
      if (!rows.find(id)) return noAccount;
      rows.setRetired(id, false);
      return [];
    },
    passwordHash: ownPasswords.hashOf,
    /** Ends every other session of the account. */
    setPassword: db.transaction(setPassword).immediate,
    makeLink: ownPasswords.makeLink,
    accountOfLink: ownPasswords.accountOfLink,
    sessions: ownSessions,
  };
}
