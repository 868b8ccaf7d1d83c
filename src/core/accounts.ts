import type { Problem } from './problems.ts';

/** Roles from the one that may least to the one that may all; each may what those before it may. */
export const roles = ['landowner', 'crew-lead', 'planner', 'administrator'] as const;

export type Role = (typeof roles)[number];

/** Who is signed in. */
export interface SignedIn {
  /** Number of the account. */
  id: number;
  name: string;
  role: Role;
  /** Properties that the person is limited to; null = all of them. */
  propertyIds: readonly number[] | null;
}

/** A person who may sign in, as entered. */
export interface AccountRow {
  name: string;
  role: Role;
  /** All properties, also later ones; a landowner view never has them. */
  hasAllProperties: boolean;
  /** Whose land the person sees, beside the named properties; null = named ones only. */
  landownerId: number | null;
  propertyIds: number[];
}

export interface Account extends AccountRow {
  id: number;
  createdAt: string;
  /** Null = in use. */
  retiredAt: string | null;
  hasPassword: boolean;
}

/** True when `role` may what `least` may. */
export function isAtLeast(role: Role, least: Role): boolean {
  return roles.indexOf(role) >= roles.indexOf(least);
}

/** Properties of an account: null = all; a landowner's are those on record now, so that a sale ends the view. */
export function propertiesOf(
  account: AccountRow,
  properties: readonly { id: number; landownerId: number }[],
): number[] | null {
  if (account.hasAllProperties) return null;
  return properties
    .filter(
      ({ id, landownerId }) =>
        landownerId === account.landownerId || account.propertyIds.includes(id),
    )
    .map(({ id }) => id);
}

export function maySee(person: SignedIn | null, propertyId: number): boolean {
  return person === null || person.propertyIds === null || person.propertyIds.includes(propertyId);
}

/** True when the person is limited to no property, so that what concerns all may be changed. */
export function maySeeAll(person: SignedIn | null): boolean {
  return person === null || person.propertyIds === null;
}

/**
 * Whether an administrator may change an account: one limited to properties may do so with accounts that are limited to
 * the same ones or fewer, by name.
 */
export function mayManage(manager: SignedIn | null, account: AccountRow): boolean {
  if (maySeeAll(manager)) return true;
  const { hasAllProperties, landownerId, propertyIds } = account;
  if (hasAllProperties || landownerId !== null) return false;
  return propertyIds.every((id) => maySee(manager, id));
}

/** Names are compared without regard to letter case and width. */
export function signInName(name: string): string {
  return name.normalize('NFKC').trim().replace(/\s+/g, ' ').toLowerCase();
}

const nameLengthMost = 80;

function isPlainText(text: string): boolean {
  return !/[\p{Cc}\p{Cf}\p{Co}\p{Cn}]/u.test(text);
}

/** What is wrong with an account as entered, on its own; empty = it can be stored. */
export function checkAccount(account: AccountRow): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `account-${field}`, field, message });
  const { name, role, hasAllProperties, landownerId, propertyIds } = account;
  if (signInName(name) === '') say('name', 'Name: write the name to sign in with.');
  else if (name.length > nameLengthMost || !isPlainText(name))
    say('name', `Name: write at most ${nameLengthMost} letters, digits, spaces and signs.`);
  if (!roles.includes(role)) say('role', 'Role: choose one from the list.');
  if (role === 'landowner' && hasAllProperties)
    say('hasAllProperties', 'Properties: a landowner sees own land only; choose it.');
  else if (!hasAllProperties && landownerId === null && propertyIds.length === 0)
    say('propertyIds', 'Properties: choose at least one, a landowner, or all.');
  return problems;
}

/**
 * Passwords that are tried first, by our own judgement from memory; longer ones are cut to their stem by
 * `stemOf`, so that "Password123456!" counts as "password".
 */
const commonStems = new Set(
  `password passwort passw0rd p@ssword p@ssw0rd qwerty qwertyuiop qwertzuiop azerty azertyuiop asdfghjkl zxcvbnm
  asdf qazwsx qazwsxedc iloveyou welcome letmein admin administrator root user guest login master hello monkey
  dragon football baseball basketball soccer hockey superman batman princess sunshine shadow michael jennifer
  jordan charlie freedom whatever trustno starwars pokemon computer internet samsung google facebook changeme
  default secret test testing temp temporary access pass mypassword yourpassword thepassword newpassword
  passwordpassword abc abcd abcdef abcdefg abcdefgh abcdefghijkl abcdefghijklm aaaaaa summer winter spring autumn
  fall january february march april june july august september october november december monday tuesday wednesday
  thursday friday saturday sunday seasonwright prairie savanna woodland habitat restoration burnboss prescribedburn
  prescribedfire correcthorsebatterystaple correct horse battery staple iloveyousomuch letmeinplease
  opensesame nopassword ineedapassword`.split(/\s+/),
);

const rows = ['abcdefghijklmnopqrstuvwxyz', '01234567890123456789', 'qwertyuiopasdfghjklzxcvbnm'];

/** Letters without what people put before and after them. */
function stemOf(password: string): string {
  return password
    .toLowerCase()
    .replace(/^[^a-z]+|[^a-z]+$/g, '')
    .replace(/[\s_.-]+/g, '');
}

/** One short piece again and again, or a run along the alphabet, the digits or the keys. */
function isRun(password: string): boolean {
  const text = password.toLowerCase();
  if (/^(.{1,4})\1+.{0,3}$/.test(text)) return true;
  return rows.some((row) => {
    const back = [...row].reverse().join('');
    return row.includes(text) || back.includes(text);
  });
}

export const passwordLengthLeast = 12;
export const passwordLengthMost = 128;

/** A password as it is hashed: what looks alike from two keyboards is the same. */
export function normalPassword(password: string): string {
  return password.normalize('NFKC');
}

/**
 * What is wrong with a new password: length in characters, not one of the commonest, not the name. No rule on kinds
 * of characters. Method: NIST SP 800-63B section 5.1.1.2 (from memory), with a longer least length.
 */
export function checkPassword(password: string, name: string): Problem[] {
  const say = (message: string): Problem[] => [
    { code: 'password', field: 'password', message: `Password: ${message}` },
  ];
  const text = normalPassword(password);
  const { length } = [...text];
  if (length < passwordLengthLeast)
    return say(`write at least ${passwordLengthLeast} characters; a few words in a row are good.`);
  if (length > passwordLengthMost) return say(`write at most ${passwordLengthMost} characters.`);
  const own = signInName(name);
  const small = text.toLowerCase();
  if (own.length > 2 && small.includes(own) && length - own.length < 8)
    return say('leave your name out of it.');
  const stem = stemOf(text);
  if (commonStems.has(stem) || isRun(text))
    return say('this is one of the first that are tried; write a few words that belong to nobody.');
  return [];
}

/** Failures in a row that cost nothing. */
const freeFailures = 4;
const waitSecondsMost = 60;

/**
 * Seconds to wait after failed tries in a row: none for the first four, then 2, 4, 8 ... to 60, never for good, so that
 * nobody can lock somebody else out.
 */
export function waitSecondsAfter(failures: number): number {
  if (failures <= freeFailures) return 0;
  return Math.min(waitSecondsMost, 2 ** Math.min(10, failures - freeFailures));
}
