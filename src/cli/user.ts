import { existsSync } from 'node:fs';
import { type AccountRow, type Role, roles } from '../core/accounts.ts';
import type { Problem } from '../core/problems.ts';
import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readRequired,
  UsageError,
  type Verb,
} from './arguments.ts';
import { type OperationFile, openOperationFile, openPresentFile } from './operation-file.ts';
import { readNewPassword } from './password-input.ts';
import { propertyNamed } from './property-named.ts';
import { portDefault, publicUrlOf } from './serve-address.ts';
import { addAccount } from './web-access.ts';

type Values = Record<string, string | undefined>;

const say = (text: string) => process.stdout.write(`${text}\n`);

function refuse(problems: readonly Problem[]): number {
  printProblems(problems.map(({ field: _field, ...problem }) => problem));
  return exitProblems;
}

function readRole(values: Values, isFirst: boolean): Role {
  const text = values['role'] ?? (isFirst ? 'administrator' : '');
  const role = roles.find((one) => one === text);
  if (role) return role;
  throw new UsageError(`--role takes one of ${roles.join(', ')}.`);
}

function landownerNamed(file: OperationFile, name: string): number {
  const { landowners } = file.operation();
  const owner = landowners.find((one) => one.name === name || String(one.id) === name);
  if (owner) return owner.id;
  const names = landowners.map((one) => one.name).join(', ') || 'none yet';
  throw new UsageError(`There is no landowner "${name}"; there is: ${names}.`);
}

/** The account that the options describe; without a word about land it is for all of it. */
function rowOf(file: OperationFile, name: string, values: Values, isFirst: boolean): AccountRow {
  const named = (values['property'] ?? '').split(',').filter((one) => one.trim() !== '');
  const owner = values['landowner'];
  const propertyIds = named.map((one) => propertyNamed(file, one.trim()).id);
  const landownerId = owner === undefined ? null : landownerNamed(file, owner);
  const hasAllProperties = propertyIds.length === 0 && landownerId === null;
  return { name, role: readRole(values, isFirst), hasAllProperties, landownerId, propertyIds };
}

function accountNamed(file: OperationFile, name: string) {
  const account = file.store.accounts.findName(name);
  if (account) return account;
  const names = file.store.accounts.list().map((one) => one.name);
  throw new UsageError(
    `There is no account "${name}"; there is: ${names.join(', ') || 'none yet'}.`,
  );
}

function printLink(file: OperationFile, id: number, base: string): void {
  say(`${base}/new-password/${file.store.accounts.makeLink(id)}`);
  say('The link sets a password once, within 24 hours. Hand it over so that nobody else reads it.');
}

async function add(
  file: OperationFile,
  name: string,
  values: Values,
  flags: ReadonlySet<string>,
): Promise<number> {
  const isFirst = !file.store.accounts.hasAny();
  const row = rowOf(file, name, values, isFirst);
  const hasLink = flags.has('link') && !isFirst;
  const password = hasLink ? null : await readNewPassword(flags.has('password-stdin'));
  const made = await addAccount(file, row, password);
  if (!made.ok) return refuse(made.problems);
  say(`${name} may sign in as ${row.role}.`);
  if (hasLink) printLink(file, made.value, baseOf(values));
  if (isFirst) say('From now on every page asks who is there, and serve takes --host.');
  return exitDone;
}

const baseOf = (values: Values) =>
  publicUrlOf(values['public-url']) ?? `http://127.0.0.1:${portDefault}`;

function list(file: OperationFile): number {
  const { accounts } = file.store;
  const { properties, landowners } = file.operation();
  for (const account of accounts.list()) {
    const owner = landowners.find(({ id }) => id === account.landownerId);
    const names = properties.filter(({ id }) => account.propertyIds.includes(id));
    const land = account.hasAllProperties
      ? 'all properties'
      : [owner ? `land of ${owner.name}` : '', ...names.map(({ name }) => name)]
          .filter(Boolean)
          .join(', ') || 'no property now';
    const state = account.retiredAt === null ? '' : ', out of use';
    say(`${account.name}: ${account.role}, ${land}${state}`);
  }
  if (!accounts.hasAny())
    say('Nobody signs in yet: whoever sits at this machine may do everything.');
  return exitDone;
}

async function run(args: string[]): Promise<number> {
  const names = ['db', 'role', 'property', 'landowner', 'public-url'];
  const { values, flags, files } = readArguments(args, names, ['password-stdin', 'link']);
  const [what = '', name = ''] = files;
  if (!['add', 'reset', 'list', 'retire'].includes(what))
    throw new UsageError('Say what to do: user add, user reset, user list or user retire.');
  if (what !== 'list' && name === '') throw new UsageError(`Name the person: user ${what} NAME.`);
  const path = readRequired(values, 'db');
  // On a new server the first account comes before the first start.
  const isNew = what === 'add' && !existsSync(path);
  const file = isNew ? openOperationFile(path, null) : openPresentFile(path, null);
  if (isNew) say(`A new database was made: ${path}`);
  try {
    if (what === 'add') return await add(file, name, values, flags);
    if (what === 'list') return list(file);
    const account = accountNamed(file, name);
    if (what === 'reset') {
      if (account.retiredAt !== null) throw new UsageError(`${account.name} is out of use.`);
      printLink(file, account.id, baseOf(values));
      return exitDone;
    }
    const problems = file.store.accounts.retire(account.id);
    if (problems.length > 0) return refuse(problems);
    say(`${account.name} can not sign in any more.`);
    return exitDone;
  } finally {
    file.close();
  }
}

export const userVerb: Verb = {
  name: 'user',
  summary: 'people who may sign in: add, reset (a link for a new password), list, retire',
  help: `
Usage: node dist/cli/main.js user add NAME --db FILE [--role R] [--property A,B] [--landowner N]
       node dist/cli/main.js user reset NAME --db FILE
       node dist/cli/main.js user list --db FILE
       node dist/cli/main.js user retire NAME --db FILE

  --db FILE          the database (made by add where there is none); the server may run meanwhile
  --role R           ${roles.join(', ')}; the first account is an administrator
  --property A,B     limited to these properties; without it and --landowner: all of them
  --landowner N      limited to the land of this landowner
  --link             no password now: print a link by which the person sets one
  --password-stdin   read the password from standard input, first line; else it is asked for
  --public-url URL   address that links begin with (default http://127.0.0.1:${portDefault})
`,
  run,
};
