import { parse } from 'node-html-parser';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Role } from '../../src/core/accounts.ts';
import { recordKinds } from '../../src/web/forms/records/kinds.ts';
import { recordLandOf } from '../../src/web/pages/records.ts';
import { type RouteAccess, routeAccess } from '../../src/web/route-access.ts';
import { accessToday, get, post, sampleApp, signedIn } from '../support/access.ts';

/** Long Hollow is the first property and the first owner's; Meadow Bench is somebody else's. */
const own = 1;
const foreign = 2;

let sample: ReturnType<typeof sampleApp>;
const people = new Map<string, Record<string, string>>();
/** Names of the foreign land that own land does not bear as well. */
let names: string[];

interface Ids {
  property: string;
  unit: string;
  block: string;
  entry: string;
  task: string;
  crew: string;
}
let ids: { own: Ids; foreign: Ids };

const roles: Role[] = ['landowner', 'crew-lead', 'planner', 'administrator'];

beforeAll(async () => {
  sample = sampleApp({ isPlanned: true });
  await sample.app.ready();
  const operation = sample.file.operation();
  const { properties, landowners, units, blocks, points, lines, entries } = operation;
  signedIn(sample, { name: 'Whole', role: 'administrator', hasAllProperties: true });
  for (const role of roles)
    people.set(role, signedIn(sample, { name: `Some ${role}`, role, propertyIds: [own] }).headers);
  people.set(
    'owner',
    signedIn(sample, { name: 'Owner', role: 'landowner', landownerId: own }).headers,
  );
  const namesOf = (propertyId: number) => {
    const rows = [...units, ...blocks].filter((row) => row.propertyId === propertyId);
    const named = [...points, ...lines].filter((row) => row.propertyId === propertyId);
    const property = properties.find(({ id }) => id === propertyId);
    return [
      property?.name ?? '',
      landowners.find(({ id }) => id === property?.landownerId)?.name ?? '',
      ...rows.flatMap(({ code, name }) => [code, name]),
      ...named.map(({ name }) => name),
    ].filter((name) => name.length > 1);
  };
  const ownNames = new Set(namesOf(own));
  names = [...new Set(namesOf(foreign))].filter((name) => !ownNames.has(name));
  const { store } = sample.file;
  for (const scope of sample.deps.feeds.scopes()) store.feeds.create(scope.name, 'somebody', false);
  for (const { id, propertyId } of blocks)
    if (propertyId === foreign)
      store.burns.addGoNoGo({
        blockId: id,
        day: accessToday,
        answeredBy: 'Boss',
        note: '',
        answers: {},
      });
  const plan = store.plans.inForce();
  const idsOf = (propertyId: number): Ids => {
    const of = (rows: readonly { id: number; propertyId: number }[]) =>
      String(rows.find((row) => row.propertyId === propertyId)?.id);
    const unitIds = units.filter((row) => row.propertyId === propertyId).map(({ id }) => id);
    return {
      property: String(propertyId),
      unit: of(units),
      block: of(blocks),
      entry: String(entries.find(({ unitId }) => unitIds.includes(unitId))?.id),
      task: plan?.content.tasks.find((task) => task.propertyId === propertyId)?.key ?? '',
      crew: '1',
    };
  };
  ids = { own: idsOf(own), foreign: idsOf(foreign) };
});

/** Foreign names in an answer, as whole words of its text and attributes. */
function foreignNames(body: string): string[] {
  const text = body.startsWith('<')
    ? `${parse(body).textContent} ${[...body.matchAll(/(?:title|value|aria-label|alt)="([^"]*)"/g)].map(([, value]) => value).join(' ')}`
    : body;
  return names.filter((name) => {
    const at = text.indexOf(name);
    if (at < 0) return false;
    const word = new RegExp(
      `(?<![\\p{L}\\p{N}])${name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}(?![\\p{L}\\p{N}])`,
      'u',
    );
    return word.test(text);
  });
}

/** What a route names, filled in: path, query and form. */
function filled(route: string, row: RouteAccess, of: Ids) {
  const [method = '', pattern = ''] = route.split(' ');
  const scope: Record<string, string> = row.of === null || row.of === 'all' ? {} : row.of;
  const query: Record<string, string> = {};
  const form: Record<string, string> = {};
  let path = pattern;
  for (const [kind, name] of Object.entries(scope)) {
    if (kind === 'record') continue;
    const id = of[kind as keyof Ids];
    if (name.startsWith('?')) query[name.slice(1)] = id;
    else if (name.startsWith('=')) form[name.slice(1)] = id;
    else
      path = path.replace(
        name === '*' ? '*' : `:${name}`,
        name === '*' ? id : encodeURIComponent(id),
      );
  }
  const search = new URLSearchParams(query).toString();
  return {
    method,
    path: search === '' ? path : `${path}?${search}`,
    form,
    isNamed: Object.keys(scope).length > 0,
  };
}

const send = (
  method: string,
  path: string,
  form: Record<string, string>,
  headers: Record<string, string>,
) => (method === 'GET' ? get(sample.app, path, headers) : post(sample.app, path, form, headers));

const rank = (role: string) => roles.indexOf(role as Role);

/** Routes that end a session, or make the first account. */
const apart = /^(POST \/sign-out|POST \/people-access\/first)/;

const guarded = Object.entries(routeAccess).filter(
  ([route, row]) => row.least !== 'anyone' && !apart.test(route),
);

test('there are foreign names to look for, and they are seen by who may see all', async () => {
  expect(names.length).toBeGreaterThan(20);
  const all = signedIn(sample, { name: 'All', role: 'administrator', hasAllProperties: true });
  const { body } = await get(sample.app, '/units', all.headers);
  expect(foreignNames(body).length).toBeGreaterThan(5);
});

describe('nobody who is not signed in gets anything', () => {
  test.each(guarded)('%s', async (route, row) => {
    const { method, path, form } = filled(route, row, ids.own);
    const answer = await send(method, path, form, {});
    if (method === 'GET') {
      expect(answer.statusCode).toBe(302);
      expect(answer.headers.location).toMatch(/^\/sign-in\?next=%2F/);
    } else expect(answer.statusCode).toBe(401);
    expect(foreignNames(answer.body)).toEqual([]);
  });
});

describe.each(['landowner', 'owner', 'crew-lead', 'planner', 'administrator'])(
  '%s of one property',
  (who) => {
    const role = who === 'owner' ? 'landowner' : who;

    test.each(guarded)('%s: foreign land is not there, and is not named', async (route, row) => {
      const { method, path, form, isNamed } = filled(route, row, ids.foreign);
      const answer = await send(method, path, form, people.get(who) ?? {});
      expect(foreignNames(answer.body)).toEqual([]);
      expect(answer.statusCode).not.toBe(500);
      if (rank(role) < rank(row.least)) expect(answer.statusCode).toBe(403);
      else if (row.of === 'all') expect(answer.statusCode).toBe(403);
      else if (isNamed && !('record' in (row.of ?? {})) && !('crew' in (row.of ?? {})))
        expect([route, answer.statusCode]).toEqual([route, 404]);
    });

    test.each(guarded.filter(([route]) => route.startsWith('GET ')))(
      '%s: own land is there, without a word of the other',
      async (route, row) => {
        const { path } = filled(route, row, ids.own);
        // Numbers that the row says nothing of: of a list, a feed address, a contract, a change.
        for (const id of ['1', '2', '3']) {
          const one = path.replace(/:[a-zA-Z]+|\*/g, id);
          const answer = await get(sample.app, one, people.get(who) ?? {});
          expect([one, foreignNames(answer.body)]).toEqual([one, []]);
          if (rank(role) < rank(row.least) || row.of === 'all') expect(answer.statusCode).toBe(403);
          else expect([200, 302, 303, 403, 404, 410, 422]).toContain(answer.statusCode);
          if (one === path) break;
        }
      },
    );

    test('rows of foreign land are not there, and are not changed by a number', async () => {
      const land = recordLandOf(sample.deps);
      const rows = recordKinds.flatMap((kind) =>
        kind
          .list(land)
          .filter((row) => row.propertyId === foreign && row.path === null)
          .map((row) => ({ kind, row })),
      );
      expect(rows.length).toBeGreaterThan(10);
      for (const { kind, row } of rows) {
        const path = `/records/${kind.path}/${encodeURIComponent(String(row.id))}`;
        for (const page of [path, `${path}/retire`]) {
          const answer = await get(sample.app, page, people.get(who) ?? {});
          expect([page, answer.statusCode]).toEqual([page, answer.statusCode === 403 ? 403 : 404]);
          expect(foreignNames(answer.body)).toEqual([]);
        }
        const { values } = kind.find(land, String(row.id)) ?? { values: {} };
        const answer = await post(
          sample.app,
          path,
          { ...values, isSure: 'yes' },
          people.get(who) ?? {},
        );
        expect([403, 404, 409]).toContain(answer.statusCode);
      }
      expect(JSON.stringify(recordLandOf(sample.deps).operation.units)).toBe(
        JSON.stringify(land.operation.units),
      );
    }, 60_000);
  },
);
