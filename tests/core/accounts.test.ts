import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  checkAccount,
  checkPassword,
  isAtLeast,
  mayManage,
  propertiesOf,
  roles,
  signInName,
  waitSecondsAfter,
} from '../../src/core/accounts.ts';

const account = {
  name: 'Ada',
  role: 'planner' as const,
  hasAllProperties: false,
  landownerId: null,
  propertyIds: [1],
};
const land = [
  { id: 1, landownerId: 1 },
  { id: 2, landownerId: 2 },
  { id: 3, landownerId: 2 },
];

test('each role may what those before it may', () => {
  for (const [at, role] of roles.entries())
    expect(roles.map((least) => isAtLeast(role, least))).toEqual(roles.map((_, to) => to <= at));
});

describe('which properties', () => {
  test.each([
    ['all', { hasAllProperties: true }, null],
    ['named ones', { propertyIds: [3, 1] }, [1, 3]],
    ['those of a landowner', { landownerId: 2, propertyIds: [] }, [2, 3]],
    ['both', { landownerId: 2, propertyIds: [1] }, [1, 2, 3]],
    ['one that is gone', { propertyIds: [9] }, []],
  ])('%s', (_name, own, ids) => {
    expect(propertiesOf({ ...account, ...own }, land)).toEqual(ids);
  });
});

describe('an account as entered', () => {
  test.each([
    ['is sound', {}, []],
    ['needs a name', { name: '  ' }, ['name']],
    ['takes no control characters', { name: 'A\u0007da' }, ['name']],
    ['takes no direction marks', { name: 'A\u202Eda' }, ['name']],
    ['needs some land', { propertyIds: [] }, ['propertyIds']],
    [
      'a landowner never sees all',
      { role: 'landowner', hasAllProperties: true },
      ['hasAllProperties'],
    ],
  ] as const)('%s', (_name, own, fields) => {
    const row = {
      ...account,
      ...own,
      propertyIds: [...((own as typeof account).propertyIds ?? [1])],
    };
    expect(checkAccount(row).map(({ field }) => field)).toEqual(fields);
  });
});

test.each([
  ['Ada', 'ada'],
  ['  Ada   Marl ', 'ada marl'],
  // NFKC (Unicode Standard Annex 15): full-width letters are the plain ones.
  ['Ａｄａ', 'ada'],
])('the name %j is %j', (name, same) => {
  expect(signInName(name)).toBe(same);
});

describe('a new password', () => {
  // Length, no composition rules, a list of common ones, the name: NIST SP 800-63B section 5.1.1.2, from memory.
  test.each([
    ['short', 'elevenchars', 'at least 12'],
    ['twelve characters', 'twelve chars', null],
    ['counts characters, not code units', '🌳🌲🌾🔥🦔🦉🐢🐍🦋🐝🪵🌻', null],
    ['too long', 'ab cd'.repeat(26), 'at most 128'],
    ['spaces and words', 'seven herons on a fence', null],
    ['no digits asked for', 'gravelswitchbarnowl', null],
    ['one of the commonest with digits', 'Password123456!', 'first that are tried'],
    ['the same in parts', 'pass_word-2026!', 'first that are tried'],
    ['a run of keys', 'qwertyuiopas', 'first that are tried'],
    ['a run of digits', '012345678901', 'first that are tried'],
    ['one piece again and again', 'abcabcabcabcabc', 'first that are tried'],
    ['the name and little else', 'Adalbert2026', 'your name'],
  ])('%s', (_name, password, words) => {
    const [problem] = checkPassword(password, 'Adalbert');
    if (words === null) expect(problem).toBeUndefined();
    else expect(problem?.message).toContain(words);
  });

  test('never fewer than twelve characters', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 11 }), (text) => {
        expect(checkPassword(text.normalize('NFKC').slice(0, 11), 'Ada')).not.toEqual([]);
      }),
    );
  });
});

test('waits grow from the fifth failure on, and never reach a minute more', () => {
  expect([0, 4, 5, 6, 7, 8, 9, 10, 11, 1000].map(waitSecondsAfter)).toEqual([
    0, 0, 2, 4, 8, 16, 32, 60, 60, 60,
  ]);
});

test('an administrator of some properties manages accounts of these alone', () => {
  const some = { id: 1, name: 'A', role: 'administrator', propertyIds: [1, 2] } as const;
  expect(mayManage(null, account)).toBe(true);
  expect(mayManage({ ...some, propertyIds: null }, { ...account, hasAllProperties: true })).toBe(
    true,
  );
  expect(mayManage(some, account)).toBe(true);
  expect(mayManage(some, { ...account, propertyIds: [1, 3] })).toBe(false);
  expect(mayManage(some, { ...account, hasAllProperties: true })).toBe(false);
  expect(mayManage(some, { ...account, landownerId: 1 })).toBe(false);
});
