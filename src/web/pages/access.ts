import { type Account, mayManage, type Role, roles } from '../../core/accounts.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { bareShell, type Shell, shellOf } from './shell.ts';

/** What each role may, in words. */
export const roleWords: Record<Role, string> = {
  landowner: 'landowner view',
  'crew-lead': 'crew lead',
  planner: 'planner',
  administrator: 'administrator',
};
const roleMeanings: Record<Role, string> = {
  landowner: 'sees the year and the units of own land, and changes nothing',
  'crew-lead': 'logs work, fills in burn checks and what was seen; changes no land and no plan',
  planner: 'changes land, rules and plans',
  administrator: 'all of it, and lets people in',
};

export interface SignInPage {
  shell: Shell;
  form: FormState;
}

/** Where somebody signs in. `next` is where to go then. */
export function signInPage(next: string, form: FormState = blankForm): SignInPage {
  const shell = bareShell('Who is there?', null, false);
  return { shell, form: { ...form, values: { next, ...form.values } } };
}

export interface NewPasswordPage {
  shell: Shell;
  /** Null: the link is used up, or too old. */
  name: string | null;
  form: FormState;
}

export function newPasswordPage(deps: Deps, token: string, form = blankForm): NewPasswordPage {
  const name = deps.access.nameOfLink(token);
  const title = name === null ? 'This link has ended' : `A new password for ${name}`;
  return { shell: bareShell(title, null, false), name, form };
}

interface SessionLine {
  id: number;
  where: string;
  address: string;
  started: string;
  seen: string;
  isThis: boolean;
}

export interface AccountPage {
  shell: Shell;
  name: string;
  role: string;
  land: string;
  sessions: SessionLine[];
  form: FormState;
}

/** Browser and system of a user agent, in few words. */
export function browserWords(userAgent: string): string {
  const browser = /Edg\//.test(userAgent)
    ? 'Edge'
    : (/(Firefox|Chrome|CriOS|FxiOS)/
        .exec(userAgent)?.[1]
        ?.replace('CriOS', 'Chrome')
        .replace('FxiOS', 'Firefox') ?? (/Safari/.test(userAgent) ? 'Safari' : 'another program'));
  const system = /Android|iPhone|iPad|Windows|Mac OS X|Linux/.exec(userAgent)?.[0];
  return system ? `${browser} on ${system}` : browser;
}

/** A person's own page: password, and where they are signed in. */
export function accountPage(deps: Deps, sessionId: number | null, form = blankForm): AccountPage {
  const person = deps.access.current();
  if (person === null) throw new PageError(404, 'There are no accounts yet.');
  const { properties } = deps.operation();
  const land =
    person.propertyIds === null
      ? 'all properties'
      : properties.map(({ name }) => name).join(', ') || 'no property now';
  return {
    shell: shellOf(deps, 'more', 'Your account'),
    name: person.name,
    role: roleWords[person.role],
    land,
    sessions: deps.access.sessions(person.id).map((one) => ({
      id: one.id,
      where: browserWords(one.userAgent),
      address: one.address,
      started: words.instant(one.startedAt),
      seen: words.instant(one.lastSeenAt),
      isThis: one.id === sessionId,
    })),
    form,
  };
}

interface AccountLine {
  id: number;
  name: string;
  role: string;
  land: string;
  state: string;
  isRetired: boolean;
}

/** A link that is shown this once. */
export interface IssuedLink {
  name: string;
  address: string;
}

export interface PeoplePage {
  shell: Shell;
  /** No account yet: the form makes the first. */
  isFirst: boolean;
  accounts: AccountLine[];
  roles: { key: Role; name: string; meaning: string }[];
  fields: AccountFields;
  form: FormState;
  issued: IssuedLink | null;
}

interface AccountFields {
  isAllOffered: boolean;
  landowners: { key: string; name: string }[];
  properties: { id: number; name: string; isTicked: boolean }[];
}

function landWords(deps: Deps, account: Account): string {
  if (account.hasAllProperties) return 'all properties';
  const { properties, landowners } = deps.operation();
  const owner = landowners.find(({ id }) => id === account.landownerId);
  const names = properties
    .filter(({ id }) => account.propertyIds.includes(id))
    .map(({ name }) => name);
  return [owner ? `land of ${owner.name}` : '', ...names].filter(Boolean).join(', ') || 'none now';
}

function lineOf(deps: Deps, account: Account): AccountLine {
  const { id, name, role, retiredAt, hasPassword } = account;
  const isRetired = retiredAt !== null;
  const state = isRetired ? 'out of use' : hasPassword ? 'may sign in' : 'has no password yet';
  return { id, name, role: roleWords[role], land: landWords(deps, account), state, isRetired };
}

function fieldsOf(deps: Deps, form: FormState): AccountFields {
  const { properties, landowners } = deps.operation();
  const ticked = (form.values['properties'] ?? '').split(',');
  const person = deps.access.current();
  const isAllOffered = person === null || person.propertyIds === null;
  return {
    isAllOffered,
    landowners: isAllOffered
      ? [
          { key: '', name: 'nobody: the properties ticked below' },
          ...landowners.map(({ id, name }) => ({ key: String(id), name })),
        ]
      : [],
    properties: properties.map(({ id, name }) => ({
      id,
      name,
      isTicked: ticked.includes(String(id)),
    })),
  };
}

const roleOptions = [...roles].map((key) => ({
  key,
  name: roleWords[key],
  meaning: roleMeanings[key],
}));

/** Accounts that the person who asks may change. */
export function managedAccounts(deps: Deps): Account[] {
  const person = deps.access.current();
  return deps.access.accounts().filter((account) => mayManage(person, account));
}

export function peoplePage(
  deps: Deps,
  form: FormState = { values: { role: 'crew-lead', extent: 'some' }, problems: [] },
  issued: IssuedLink | null = null,
): PeoplePage {
  return {
    shell: shellOf(deps, 'more', 'Who may sign in?'),
    isFirst: !deps.access.hasAccounts(),
    accounts: managedAccounts(deps).map((account) => lineOf(deps, account)),
    roles: roleOptions,
    fields: fieldsOf(deps, form),
    form,
    issued,
  };
}

export interface PersonPage {
  shell: Shell;
  id: number;
  line: AccountLine;
  roles: PeoplePage['roles'];
  fields: AccountFields;
  sessions: SessionLine[];
  form: FormState;
}

/** The account behind a number; one that the person may not change is not there. */
export function managedAccount(deps: Deps, id: number): Account {
  const account = managedAccounts(deps).find((one) => one.id === id);
  if (!account) throw new PageError(404, 'There is no account at this address.');
  return account;
}

/** An account as its form shows it. */
export function accountValues(account: Account): Record<string, string> {
  const { name, role, hasAllProperties, landownerId, propertyIds } = account;
  return {
    name,
    role,
    extent: hasAllProperties ? 'all' : 'some',
    landownerId: String(landownerId ?? ''),
    properties: propertyIds.join(','),
  };
}

/** What to say when somebody else saved the account while the form was open. */
export function accountChangedMeanwhile(deps: Deps, account: Account): Problem {
  const { name, role, land } = lineOf(deps, account);
  return {
    code: 'changed-meanwhile',
    message: `Meanwhile somebody saved: ${name}, ${role}, ${land}. Below is what you chose. Save again to keep yours, or choose theirs.`,
  };
}

export function personPage(
  deps: Deps,
  account: Account,
  typed: FormState | null = null,
): PersonPage {
  const { id, name } = account;
  const stored = accountValues(account);
  const form = typed ? { ...typed, stored } : { values: stored, problems: [] };
  return {
    shell: shellOf(deps, 'more', `What may ${name} do?`),
    id,
    line: lineOf(deps, account),
    roles: roleOptions,
    fields: fieldsOf(deps, form),
    sessions: deps.access.sessions(id).map((one) => ({
      id: one.id,
      where: browserWords(one.userAgent),
      address: one.address,
      started: words.instant(one.startedAt),
      seen: words.instant(one.lastSeenAt),
      isThis: false,
    })),
    form,
  };
}
