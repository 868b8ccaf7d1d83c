import { describe, expect, test } from 'vitest';
import type { SignedIn } from '../../src/core/accounts.ts';
import { forRole } from '../../src/web/plugins/role-view.ts';

const person = (role: SignedIn['role'], propertyIds: number[] | null = null): SignedIn => ({
  id: 1,
  name: 'A',
  role,
  propertyIds,
});
const edit = '<form method="post" action="/units/1" id="x"><input name="a"></form>';
const page = `<p>See <a href="/plan?x=1&amp;y=2">the <b>plan</b></a>.</p>${edit}`;

describe('a page for a role', () => {
  test('stays as it is without accounts and for an administrator of everything', () => {
    expect(forRole(page, null)).toBe(page);
    expect(forRole(page, person('administrator'))).toBe(page);
  });

  test.each([
    ['planner', page, page],
    ['crew-lead', page, '<p>See the <b>plan</b>.</p>'],
    ['crew-lead', '<a class="button main" href="/land/import">Add</a>', ''],
    ['crew-lead', '<dt><a href="/settings">Settings</a></dt><dd>weights</dd>', ''],
    [
      'crew-lead',
      '<dt><a href="/map">Map</a></dt><dd>land</dd>',
      '<dt><a href="/map">Map</a></dt><dd>land</dd>',
    ],
    [
      'landowner',
      '<form class="f" action="/land/start" method="get"><button>Go</button></form>',
      '',
    ],
    [
      'landowner',
      '<form method="post" action="/sign-out"></form>',
      '<form method="post" action="/sign-out"></form>',
    ],
    [
      'landowner',
      '<a href="#top">up</a><a href="https://www.weather.gov">out</a>',
      '<a href="#top">up</a><a href="https://www.weather.gov">out</a>',
    ],
  ] as const)('%s: %s', (role, html, left) => {
    expect(forRole(html, person(role))).toBe(left);
  });

  test('what concerns all is not offered to a planner of some', () => {
    const adopt = '<form method="post" action="/plan/adoption"></form>';
    expect(forRole(adopt, person('planner', [1]))).toBe('');
    expect(forRole(adopt, person('planner'))).toBe(adopt);
  });

  test('escaped text that looks like a form is text', () => {
    const text = '<textarea>&lt;form method="post" action="/units/1"&gt;&lt;/form&gt;</textarea>';
    expect(forRole(text, person('landowner'))).toBe(text);
  });
});
