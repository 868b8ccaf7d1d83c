import { describe, expect, test } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { accessOf, mayCall, routeAccess } from '../../src/web/route-access.ts';
import { fakeDeps } from '../support/fake-deps.ts';

describe('the table of routes', () => {
  test('has a row for every route, and no row without one', async () => {
    const app = buildApp(fakeDeps());
    await app.ready();
    const routes = new Set(app.routeNames);
    const rows = new Set(Object.keys(routeAccess));
    expect([...routes].filter((route) => !rows.has(route))).toEqual([]);
    expect([...rows].filter((row) => !routes.has(row))).toEqual([]);
  });

  test('only addresses with a secret, assets and signing in are for anyone', () => {
    const open = Object.entries(routeAccess)
      .filter(([, row]) => row.least === 'anyone')
      .map(([route]) => route);
    const secret = /:token/;
    expect(open.filter((route) => !secret.test(route)).sort()).toEqual([
      'GET /assets/*',
      'GET /assets/htmx.min.js',
      'GET /health',
      'GET /sign-in',
      'GET /sw.js',
      'POST /sign-in',
      'POST /sign-out',
    ]);
  });

  test('a landowner changes nothing but the own account', () => {
    const changes = Object.entries(routeAccess)
      .filter(([route, row]) => row.least === 'landowner' && !route.startsWith('GET '))
      .map(([route]) => route);
    expect(changes.every((route) => route.startsWith('POST /account/'))).toBe(true);
  });

  test.each([
    ['GET', '/units/12?x=1#y', '/units/:id'],
    ['GET', '/units/merge', '/units/merge'],
    ['GET', '/records/retired', '/records/retired'],
    ['GET', '/records/points/new', '/records/:kind/new'],
    ['GET', '/assets/app.css', '/assets/*'],
    ['GET', '/', '/'],
  ])('finds the row of %s %s', (method, path, pattern) => {
    expect(accessOf(method, path)).toBe(routeAccess[`${method} ${pattern}`]);
  });

  test('a path of no route is nobody’s', () => {
    expect(accessOf('GET', '/nowhere/at/all')).toBeNull();
    expect(accessOf('POST', '/year')).toBeNull();
    const person = { id: 1, name: 'A', role: 'planner', propertyIds: null } as const;
    expect(mayCall(person, 'GET', '/nowhere/at/all')).toBe(false);
    expect(mayCall(null, 'GET', '/nowhere/at/all')).toBe(true);
  });

  test.each([
    ['landowner', 'GET', '/plan', false],
    ['crew-lead', 'GET', '/plan', false],
    ['planner', 'GET', '/plan', true],
    ['crew-lead', 'POST', '/records/visits/new', true],
    ['crew-lead', 'POST', '/records/points/new', false],
    ['planner', 'POST', '/records/points/new', true],
    ['planner', 'GET', '/people-access', false],
    ['administrator', 'GET', '/people-access', true],
  ] as const)('%s may %s %s: %s', (role, method, path, may) => {
    expect(mayCall({ id: 1, name: 'A', role, propertyIds: null }, method, path)).toBe(may);
  });

  test('what concerns all properties is not for a planner of some', () => {
    const some = { id: 1, name: 'A', role: 'planner', propertyIds: [1] } as const;
    expect(mayCall(some, 'POST', '/plan/adoption')).toBe(false);
    expect(mayCall({ ...some, propertyIds: null }, 'POST', '/plan/adoption')).toBe(true);
  });
});
