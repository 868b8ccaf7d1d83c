import {
  checkPassword,
  propertiesOf,
  type SignedIn,
  signInName,
  waitSecondsAfter,
} from '../core/accounts.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { hashPassword, isPassword } from '../storage/password.ts';
import type { Deps, RequestOrigin } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { currentPerson, runAs } from './person.ts';

/** Names and addresses whose failures are remembered; the oldest goes first. */
const rememberedMost = 10_000;
/** Failures older than this count no more. */
const forgetAfterMs = 3_600_000;

/** Failed tries in a row by name and by address. In memory: a restart forgives. */
export function slowingDown(now: () => number) {
  const failures = new Map<string, { count: number; at: number }>();
  const secondsLeft = (key: string): number => {
    const known = failures.get(key);
    if (!known || now() - known.at > forgetAfterMs) return 0;
    return Math.max(0, Math.ceil(waitSecondsAfter(known.count) - (now() - known.at) / 1000));
  };
  return {
    /** Seconds to wait before the next try of any of these. */
    secondsLeft: (keys: readonly string[]): number => Math.max(0, ...keys.map(secondsLeft)),
    failed: (keys: readonly string[]): void => {
      for (const key of keys) {
        const known = failures.get(key);
        const isOld = !known || now() - known.at > forgetAfterMs;
        failures.delete(key);
        failures.set(key, { count: isOld ? 1 : known.count + 1, at: now() });
        if (failures.size > rememberedMost) failures.delete(failures.keys().next().value ?? '');
      }
    },
    worked: (keys: readonly string[]): void => {
      for (const key of keys) failures.delete(key);
    },
  };
}

const wrongPassword: Problem = {
  code: 'password-wrong',
  field: 'present',
  message: 'Present password: this is not it.',
};
const waitProblem = (seconds: number): Problem => ({
  code: 'wait',
  message: `Too many tries went wrong. Wait ${seconds} seconds, then try again.`,
});
const linkGone: Problem = {
  code: 'link-gone',
  message: 'This link was used already or is older than a day: ask for a new one.',
};

/** Signing in and the ways to a new password; each takes a hash of its own. */
function passwordsOf(
  file: OperationFile,
): Pick<Deps['access'], 'signIn' | 'changePassword' | 'setByLink' | 'nameOfLink'> {
  const { accounts } = file.store;
  const slow = slowingDown(() => Date.now());
  const keysOf = (name: string, { address }: RequestOrigin) => [
    `name ${signInName(name)}`,
    `address ${address}`,
  ];
  /** A link shows who made it that the person is who they say, so it forgives. */
  const forgive = (name: string) => slow.worked([`name ${signInName(name)}`]);
  return {
    signIn: async (name, password, from) => {
      const keys = keysOf(name, from);
      const seconds = slow.secondsLeft(keys);
      if (seconds > 0) return { kind: 'wait', seconds };
      // Counted before the hash is made, so that tries sent at the same time count too.
      slow.failed(keys);
      const account = accounts.findName(name);
      const kept = account && account.retiredAt === null ? accounts.passwordHash(account.id) : null;
      if (!(await isPassword(password, kept)) || !account) return { kind: 'refused' };
      slow.worked(keys);
      const token = accounts.sessions.start(account.id, from.userAgent, from.address);
      return { kind: 'signed-in', token };
    },
    changePassword: async (accountId, present, next, from): Promise<Outcome<string>> => {
      const account = accounts.find(accountId);
      if (!account) return { ok: false, problems: [wrongPassword] };
      const keys = keysOf(account.name, from);
      const seconds = slow.secondsLeft(keys);
      if (seconds > 0) return { ok: false, problems: [waitProblem(seconds)] };
      const problems = checkPassword(next, account.name);
      if (problems.length > 0) return { ok: false, problems };
      slow.failed(keys);
      if (!(await isPassword(present, accounts.passwordHash(accountId))))
        return { ok: false, problems: [wrongPassword] };
      slow.worked(keys);
      const hash = await hashPassword(next);
      return file.store.inOneTransaction(() => {
        accounts.setPassword(accountId, hash, null);
        const token = accounts.sessions.start(accountId, from.userAgent, from.address);
        return { ok: true, value: token };
      });
    },
    nameOfLink: (token) => {
      const id = accounts.accountOfLink(token);
      return id === null ? null : (accounts.find(id)?.name ?? null);
    },
    setByLink: async (token, password) => {
      const id = accounts.accountOfLink(token);
      const account = id === null ? null : accounts.find(id);
      if (!account || account.retiredAt !== null) return [linkGone];
      const problems = checkPassword(password, account.name);
      if (problems.length > 0) return problems;
      const hash = await hashPassword(password);
      return file.store.inOneTransaction(() => {
        // Somebody may have used it while the hash was made.
        if (accounts.accountOfLink(token) !== account.id) return [linkGone];
        accounts.setPassword(account.id, hash, null);
        forgive(account.name);
        return [];
      });
    },
  };
}

/** Adds an account; the password, where there is one, is checked and hashed. */
export async function addAccount(
  { store: { accounts } }: Pick<OperationFile, 'store'>,
  row: Parameters<Deps['access']['add']>[0],
  password: string | null,
): Promise<Outcome<number>> {
  const problems = password === null ? [] : checkPassword(password, row.name);
  if (problems.length > 0) return { ok: false, problems };
  return accounts.add(row, password === null ? null : await hashPassword(password));
}

/** People who may sign in, as pages see them. */
export function webAccess(file: OperationFile): Deps['access'] {
  const { accounts } = file.store;
  const personOf = (accountId: number): SignedIn | null => {
    const account = accounts.find(accountId);
    if (!account || account.retiredAt !== null) return null;
    const { id, name, role } = account;
    return { id, name, role, propertyIds: propertiesOf(account, file.operation().properties) };
  };
  return {
    ...passwordsOf(file),
    hasAccounts: accounts.hasAny,
    current: currentPerson,
    runAs,
    find: (token) => {
      const session = accounts.sessions.find(token);
      const person = session && personOf(session.accountId);
      return session && person ? { person, sessionId: session.id } : null;
    },
    endSession: (accountId, sessionId) => accounts.sessions.end(sessionId, accountId),
    endSessions: accounts.sessions.endOthers,
    sessions: accounts.sessions.list,
    accounts: accounts.list,
    add: (row, password) => addAccount(file, row, password),
    change: accounts.change,
    retire: accounts.retire,
    bringBack: accounts.bringBack,
    makeLink: (id) => {
      const account = accounts.find(id);
      if (account && account.retiredAt === null) return { ok: true, value: accounts.makeLink(id) };
      const message = 'There is no such account in use.';
      return { ok: false, problems: [{ code: 'account-unknown', message }] };
    },
  };
}
