import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { accountStore, sessionDays, sessionIdleHours } from '../../src/storage/accounts.ts';
import { openDatabase } from '../../src/storage/database.ts';
import { hashPassword, isPassword } from '../../src/storage/password.ts';
import { openStore } from '../../src/storage/store.ts';

function open() {
  let at = Date.parse('2026-11-25T12:00:00Z');
  const db = openDatabase(':memory:');
  const accounts = accountStore(db, () => new Date(at));
  const later = (hours: number) => {
    at += hours * 3_600_000;
  };
  return { db, accounts, later };
}

const first = {
  name: 'Ada',
  role: 'administrator' as const,
  hasAllProperties: true,
  landownerId: null,
  propertyIds: [],
};
const idOf = (made: ReturnType<ReturnType<typeof open>['accounts']['add']>) => {
  expect(made).toMatchObject({ ok: true });
  return made.ok ? made.value : 0;
};

describe('passwords', () => {
  test('are kept as scrypt with a salt of their own, and found again', async () => {
    const kept = await hashPassword('seven herons on a fence');
    expect(kept).toMatch(/^scrypt\$16\$8\$1\$[\w-]{22}\$[\w-]{43}$/);
    expect(await isPassword('seven herons on a fence', kept)).toBe(true);
    expect(await isPassword('seven herons on a fence ', kept)).toBe(false);
    expect(await hashPassword('seven herons on a fence')).not.toBe(kept);
  });

  test('typed on another keyboard are the same (NFKC)', async () => {
    const kept = await hashPassword('caf\u00e9 by the old mill');
    expect(await isPassword('cafe\u0301 by the old mill', kept)).toBe(true);
  });

  // RFC 7914 section 12, second vector: scrypt("password", "NaCl", N=1024, r=8, p=16, 64 bytes); the first half.
  test('are hashed as RFC 7914 says', async () => {
    const key = Buffer.from(
      'fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162',
      'hex',
    );
    const salt = Buffer.from('NaCl').toString('base64url');
    expect(
      await isPassword('password', `scrypt$10$8$16$${salt}$${key.toString('base64url')}`),
    ).toBe(true);
  });

  test('of nobody are never right', async () => {
    expect(await isPassword('', null)).toBe(false);
  });

  test('too many at once are turned away, not queued for good', async () => {
    const tries = Array.from({ length: 40 }, () => isPassword('x', 'scrypt$4$8$1$AAAA$AAAA'));
    const ends = await Promise.allSettled(tries);
    expect(ends.some(({ status }) => status === 'rejected')).toBe(true);
    expect(await isPassword('x', null)).toBe(false);
  });
});

describe('accounts', () => {
  test('the first is an administrator of everything, with a password', () => {
    const { accounts } = open();
    expect(accounts.hasAny()).toBe(false);
    expect(accounts.add({ ...first, role: 'planner' }, 'hash').ok).toBe(false);
    expect(accounts.add(first, null).ok).toBe(false);
    idOf(accounts.add(first, 'hash'));
    expect(accounts.hasAny()).toBe(true);
  });

  test('names are one whatever their letters; nobody gets one twice', () => {
    const { accounts } = open();
    const id = idOf(accounts.add(first, 'hash'));
    expect(accounts.findName(' ADA ')?.id).toBe(id);
    expect(accounts.add({ ...first, name: 'ada' }, 'hash')).toMatchObject({ ok: false });
  });

  test('the last administrator stays', () => {
    const { accounts } = open();
    const ada = idOf(accounts.add(first, 'hash'));
    const withoutPassword = idOf(accounts.add({ ...first, name: 'Bo' }, null));
    expect(accounts.retire(ada)).toMatchObject([{ code: 'last-administrator' }]);
    expect(accounts.change(ada, { ...first, role: 'planner' })).toMatchObject([
      { code: 'last-administrator' },
    ]);
    accounts.setPassword(withoutPassword, 'hash', null);
    expect(accounts.retire(ada)).toEqual([]);
    expect(accounts.find(ada)?.retiredAt).not.toBeNull();
    expect(accounts.bringBack(ada)).toEqual([]);
    expect(accounts.find(ada)?.retiredAt).toBeNull();
  });

  test('land that is replaced takes the right with it', () => {
    const store = openStore(':memory:', () => new Date());
    const today = isoDate('2026-11-25');
    store.replaceLand(sampleLand(today));
    idOf(store.accounts.add(first, 'hash'));
    const limited = {
      name: 'Bo',
      role: 'crew-lead' as const,
      hasAllProperties: false,
      landownerId: 2,
      propertyIds: [1],
    };
    const id = idOf(store.accounts.add(limited, null));
    expect(store.accounts.find(id)).toMatchObject(limited);
    store.replaceLand(sampleLand(today));
    expect(store.accounts.find(id)).toMatchObject({
      hasAllProperties: false,
      landownerId: null,
      propertyIds: [],
    });
    store.close();
  });
});

describe('sessions', () => {
  test('are found by their token, which is stored nowhere', () => {
    const { db, accounts } = open();
    const id = idOf(accounts.add(first, 'hash'));
    const token = accounts.sessions.start(id, 'Browser', '10.0.0.7');
    expect(token).toMatch(/^[\w-]{43}$/);
    expect(accounts.sessions.find(token)).toMatchObject({ accountId: id, userAgent: 'Browser' });
    expect(accounts.sessions.find(`${token}x`)).toBeNull();
    const held = JSON.stringify(db.prepare('SELECT * FROM session').all());
    expect(held).not.toContain(token);
  });

  test('end without use, and in any case after a week', () => {
    const { accounts, later } = open();
    const id = idOf(accounts.add(first, 'hash'));
    const idle = accounts.sessions.start(id, '', '');
    later(sessionIdleHours + 0.1);
    expect(accounts.sessions.find(idle)).toBeNull();
    const used = accounts.sessions.start(id, '', '');
    for (let hours = 0; hours < sessionDays * 24 - 10; hours += 10) {
      later(10);
      expect(accounts.sessions.find(used)).not.toBeNull();
    }
    later(10.1);
    expect(accounts.sessions.find(used)).toBeNull();
  });

  test('end one by one, all but one, with a new password, and with the account', () => {
    const { accounts } = open();
    const id = idOf(accounts.add(first, 'hash'));
    idOf(accounts.add({ ...first, name: 'Bo' }, 'hash'));
    const start = () => accounts.sessions.start(id, '', '');
    const isOpen = (token: string) => accounts.sessions.find(token) !== null;
    const [a, b, c] = [start(), start(), start()];
    const keep = accounts.sessions.find(a)?.id ?? 0;
    accounts.sessions.end(accounts.sessions.find(b)?.id ?? 0, id + 1);
    expect(isOpen(b)).toBe(true);
    accounts.sessions.end(accounts.sessions.find(b)?.id ?? 0, id);
    expect([a, b, c].map(isOpen)).toEqual([true, false, true]);
    accounts.sessions.endOthers(id, keep);
    expect([a, c].map(isOpen)).toEqual([true, false]);
    const d = start();
    accounts.setPassword(id, 'other', keep);
    expect([a, d].map(isOpen)).toEqual([true, false]);
    accounts.retire(id);
    expect(isOpen(a)).toBe(false);
  });
});

describe('links for a new password', () => {
  test('hold for a day, once, and one at a time', () => {
    const { accounts, later } = open();
    const id = idOf(accounts.add(first, 'hash'));
    const old = accounts.makeLink(id);
    const link = accounts.makeLink(id);
    expect(accounts.accountOfLink(old)).toBeNull();
    later(23.9);
    expect(accounts.accountOfLink(link)).toBe(id);
    later(0.2);
    expect(accounts.accountOfLink(link)).toBeNull();
    const used = accounts.makeLink(id);
    accounts.setPassword(id, 'new', null);
    expect(accounts.accountOfLink(used)).toBeNull();
    expect(accounts.passwordHash(id)).toBe('new');
  });
});
