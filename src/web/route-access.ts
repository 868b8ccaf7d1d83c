import { isAtLeast, maySeeAll, type Role, type SignedIn } from '../core/accounts.ts';

/** Where a route names what it is about: a parameter of the path, `?name` of the query or `=name` of the form. */
export type Scope =
  /** It concerns every property: a person limited to some may not call it. */
  | 'all'
  | { property: string }
  | { unit: string }
  | { block: string }
  | { crew: string }
  | { entry: string }
  | { task: string }
  /** Name of the kind of rows: `crewKinds` are written by crew leads, the others by planners. */
  | { record: string };

export interface RouteAccess {
  /** `anyone`: without signing in; a feed or crew address carries a secret of its own. */
  least: Role | 'anyone';
  /** A person limited to some properties may call the route only for what is of these. Null: it names nothing, and shows what they may see. */
  of: Scope | null;
  /** Why the route is as it is, where that is not plain. */
  why?: string;
}

const anyone: RouteAccess = { least: 'anyone', of: null };
const landowner: RouteAccess = { least: 'landowner', of: null };
const crewLead: RouteAccess = { least: 'crew-lead', of: null };
const planner: RouteAccess = { least: 'planner', of: null };
const administrator: RouteAccess = { least: 'administrator', of: null };
const plannerOfAll: RouteAccess = { least: 'planner', of: 'all' };
const administratorOfAll: RouteAccess = { least: 'administrator', of: 'all' };
const ofToken: RouteAccess = { least: 'anyone', of: null, why: 'the address is the secret' };
const rowOfKind: RouteAccess = {
  least: 'crew-lead',
  of: { record: 'kind' },
  why: 'what land a row is of is looked at when it is read and saved',
};

/** Kinds of rows, as in their addresses, that crew leads write: what was seen on the ground. */
export const crewKinds: ReadonlySet<string> = new Set(['visits', 'photo-points']);

const change: RouteAccess = {
  least: 'crew-lead',
  of: null,
  why: 'whose change it is, and whether the role may take it back, hangs on the row: the log asks for both',
};
const ofChanges = {
  'GET /changes/:id/undo': change,
  'POST /changes/:id/undo': change,
  'GET /changes/rows/:id/undo': change,
  'POST /changes/rows/:id/undo': change,
};

/**
 * Who may call each route, and on what: one row a route, by method and path. A route without a row is closed to
 * all, and a test fails.
 */
export const routeAccess: Readonly<Record<string, RouteAccess>> = {
  'GET /assets/htmx.min.js': anyone,
  'GET /assets/*': anyone,
  'GET /health': { least: 'anyone', of: null, why: 'says only that the database answers' },
  'GET /this-server': administrator,
  'GET /changes': crewLead,
  'GET /removed': crewLead,
  'GET /whole-operation': administratorOfAll,
  'GET /whole-operation/operation.json': administratorOfAll,
  'POST /whole-operation': administratorOfAll,
  ...ofChanges,
  'GET /': { least: 'landowner', of: null, why: 'leads a landowner on to the units' },
  'GET /year': landowner,
  'GET /units': landowner,
  'GET /units/:id': { least: 'landowner', of: { unit: 'id' } },
  'POST /units/:id': { least: 'planner', of: { unit: 'id' } },
  'POST /units/:id/block': { least: 'planner', of: { unit: 'id' } },
  'POST /units/:id/entries': { least: 'crew-lead', of: { unit: 'id' } },
  'GET /units/:id/split': { least: 'planner', of: { unit: 'id' } },
  'POST /units/:id/split': { least: 'planner', of: { unit: 'id' } },
  'GET /units/merge': { least: 'planner', of: { unit: '?unit' } },
  'POST /units/merge': { least: 'planner', of: { unit: '=keepId' } },
  'GET /map': { least: 'landowner', of: { property: '?property' } },
  'GET /packets/:blockId': { least: 'crew-lead', of: { block: 'blockId' } },
  'GET /packets/:blockId/elements': { least: 'crew-lead', of: { block: 'blockId' } },
  'POST /packets/:blockId/elements': { least: 'crew-lead', of: { block: 'blockId' } },
  'GET /sheets': { least: 'crew-lead', of: { crew: '?crew' } },
  'GET /sheets/*': { least: 'crew-lead', of: { task: '*' } },
  'GET /map/layers': { least: 'planner', of: { property: '?property' } },
  'POST /map/layers/:id': { least: 'planner', of: { property: 'id' } },
  'POST /map/layers/:id/:layer/out': { least: 'planner', of: { property: 'id' } },
  'GET /map/pictures': administratorOfAll,
  'POST /map/pictures': administratorOfAll,
  'GET /crew-days': crewLead,
  'GET /rotations': crewLead,
  'GET /no-work': crewLead,
  'GET /sequences': crewLead,
  'GET /cure': crewLead,
  'GET /fuel': crewLead,
  'GET /more': crewLead,
  'GET /leaf-out': crewLead,
  'POST /leaf-out/:id/observed': { least: 'crew-lead', of: { property: 'id' } },
  'POST /leaf-out/:id/computed': { least: 'planner', of: { property: 'id' } },
  'POST /leaf-out/:id/usual': { least: 'planner', of: { property: 'id' } },
  'GET /worklog': crewLead,
  'GET /worklog/new': { least: 'crew-lead', of: { unit: '?unit' } },
  'POST /worklog/new': { least: 'crew-lead', of: { unit: '=unitId' } },
  'GET /worklog.csv': crewLead,
  'GET /worklog/:id': { least: 'crew-lead', of: { entry: 'id' } },
  'GET /worklog/:id/correct': { least: 'crew-lead', of: { entry: 'id' } },
  'POST /worklog/:id/correct': { least: 'crew-lead', of: { entry: 'id' } },
  'POST /worklog/:id/readings': { least: 'crew-lead', of: { entry: 'id' } },
  'POST /worklog/:id/photos': { least: 'crew-lead', of: { entry: 'id' } },
  'GET /worklog/:id/photos/:photo': { least: 'crew-lead', of: { entry: 'id' } },
  'GET /worklog/:id/photos/:photo/remove': { least: 'crew-lead', of: { entry: 'id' } },
  'POST /worklog/:id/photos/:photo/remove': { least: 'crew-lead', of: { entry: 'id' } },
  'GET /sw.js': { least: 'anyone', of: null, why: 'a script that holds nothing of the land' },
  'GET /worklog/:id/remove': { least: 'crew-lead', of: { entry: 'id' } },
  'POST /worklog/:id/remove': { least: 'crew-lead', of: { entry: 'id' } },
  'GET /worklog/:id/sign-out': { least: 'crew-lead', of: { entry: 'id' } },
  'POST /worklog/:id/sign-out': { least: 'crew-lead', of: { entry: 'id' } },
  'GET /history': planner,
  'POST /history': { least: 'planner', of: null, why: 'the units of the rows are looked at' },
  'GET /plan': planner,
  'POST /plan/drafts': plannerOfAll,
  'POST /plan/stop': plannerOfAll,
  'POST /plan/adoption': plannerOfAll,
  'POST /plan/discard': plannerOfAll,
  'GET /plan/hold': { least: 'planner', of: { task: '?task' } },
  'POST /plan/hold': { least: 'planner', of: { task: '=taskKey' } },
  'GET /what-if': plannerOfAll,
  'POST /what-if': plannerOfAll,
  'GET /what-if/:id': plannerOfAll,
  'POST /what-if/:id/removal': plannerOfAll,
  'POST /what-if/:id/changes/crew-weeks': plannerOfAll,
  'POST /what-if/:id/changes/contract-weeks': plannerOfAll,
  'POST /what-if/:id/changes/people': plannerOfAll,
  'POST /what-if/:id/changes/gear': plannerOfAll,
  'POST /what-if/:id/changes/fit-days': plannerOfAll,
  'POST /what-if/:id/changes/fit-level': plannerOfAll,
  'POST /what-if/:id/changes/held': plannerOfAll,
  'POST /what-if/:id/changes/sequence': plannerOfAll,
  'POST /what-if/:id/changes/window': plannerOfAll,
  'POST /what-if/:id/changes/weight': plannerOfAll,
  'POST /what-if/:id/changes/out': plannerOfAll,
  'POST /what-if/:id/search': plannerOfAll,
  'POST /what-if/stop': plannerOfAll,
  'GET /what-if/:id/adoption': plannerOfAll,
  'POST /what-if/:id/adoption': plannerOfAll,
  'GET /past-years': planner,
  'POST /past-years/runs': planner,
  'POST /past-years/stop': planner,
  'GET /burn-days': crewLead,
  'GET /burn-days/blocks/:id': { least: 'crew-lead', of: { block: 'id' } },
  'GET /burn-check': { least: 'crew-lead', of: { block: '?block' } },
  'POST /burn-check/switches': { least: 'crew-lead', of: { property: '=propertyId' } },
  'POST /burn-check/smoke': plannerOfAll,
  'POST /burn-check/smoke/:id/removal': plannerOfAll,
  'POST /burn-check/lists': { least: 'crew-lead', of: { block: '=blockId' } },
  'GET /burn-check/lists/:id': crewLead,
  'GET /burns/:id': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/steps': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/papers/:paper/take-back': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/call': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/call-off': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/call-out': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/unused-days': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/checks': { least: 'crew-lead', of: { block: 'id' } },
  'POST /burns/:id/sign-out': { least: 'crew-lead', of: { block: 'id' } },
  'GET /choices/:id': { least: 'planner', of: { block: 'id' } },
  'POST /choices/:id': { least: 'planner', of: { block: 'id' } },
  'GET /calendar/year': landowner,
  'GET /calendar/task.ics': { least: 'landowner', of: { task: '?key' } },
  'GET /calendar/season.ics': landowner,
  'GET /calendar/plan.csv': crewLead,
  'GET /feeds': crewLead,
  'POST /feeds': { least: 'crew-lead', of: null, why: 'the feed that is named is looked at' },
  'GET /feeds/:id/rotate': crewLead,
  'POST /feeds/:id/rotate': crewLead,
  'GET /feeds/:id/revoke': crewLead,
  'POST /feeds/:id/revoke': crewLead,
  'GET /feeds/own/new': plannerOfAll,
  'GET /feeds/own/:id': plannerOfAll,
  'POST /feeds/own': plannerOfAll,
  'POST /feeds/own/:id': plannerOfAll,
  'POST /feeds/own/:id/remove': plannerOfAll,
  'GET /feed/:token/:file': ofToken,
  'POST /feed/:token/:file': ofToken,
  'PUT /feed/:token/:file': ofToken,
  'PATCH /feed/:token/:file': ofToken,
  'DELETE /feed/:token/:file': ofToken,
  'OPTIONS /feed/:token/:file': ofToken,
  'GET /crew/:token': ofToken,
  'GET /crew/:token/tasks/:uid': ofToken,
  'GET /crew/:token/tasks/:uid/sheet': ofToken,
  'POST /crew/:token/tasks/:uid': ofToken,
  'GET /land': crewLead,
  'GET /land/start': administratorOfAll,
  'POST /land/start': administratorOfAll,
  'GET /land/sample': administratorOfAll,
  'POST /land/sample': administratorOfAll,
  'GET /land/import': planner,
  'POST /land/import': { least: 'planner', of: null, why: 'a file: its property is looked at' },
  'GET /land/files': planner,
  'POST /land/files': { least: 'planner', of: null, why: 'a file: its property is looked at' },
  'GET /land/files/:id/geojson': { least: 'crew-lead', of: { property: 'id' } },
  'GET /land/files/:id/kml': { least: 'crew-lead', of: { property: 'id' } },
  'GET /land/lines': { least: 'crew-lead', of: { property: '?property' } },
  'POST /land/lines': { least: 'planner', of: { property: '=propertyId' } },
  'GET /land/blocks': planner,
  'POST /land/blocks/join': { least: 'planner', of: { block: '=keepId' } },
  'POST /land/blocks/part': { least: 'planner', of: { block: '=blockId' } },
  'GET /records/:kind': { least: 'crew-lead', of: null, why: 'rows of other land are not in it' },
  'GET /records/:kind/new': rowOfKind,
  'POST /records/:kind/new': rowOfKind,
  'GET /records/:kind/:id': {
    least: 'crew-lead',
    of: null,
    why: 'rows of other land are not there',
  },
  'POST /records/:kind/:id': rowOfKind,
  'GET /records/:kind/:id/retire': rowOfKind,
  'POST /records/:kind/:id/retire': rowOfKind,
  'GET /records/:kind/:id/default': plannerOfAll,
  'POST /records/:kind/:id/default': plannerOfAll,
  'GET /records/retired': planner,
  'POST /records/retired': {
    least: 'planner',
    of: null,
    why: 'the row that is named is looked at',
  },
  'GET /units/:id/ledger': { least: 'landowner', of: { unit: 'id' } },
  'GET /reports': landowner,
  'GET /reports/season': { least: 'crew-lead', of: { property: '?property' } },
  'GET /reports/season.csv': { least: 'crew-lead', of: { property: '?property' } },
  'GET /reports/letter': { ...landowner, why: 'a letter about land that is hidden is not found' },
  'POST /reports/letter': { least: 'planner', of: null, why: 'the landowner is looked at' },
  'GET /units/:id/answers': { least: 'landowner', of: { unit: 'id' } },
  'GET /units/:id/visits/new/:kind': { least: 'crew-lead', of: { unit: 'id' } },
  'POST /units/:id/visits/new/:kind': { least: 'crew-lead', of: { unit: 'id' } },
  'GET /units/:id/photo-points/:point/pictures': { least: 'crew-lead', of: { unit: 'id' } },
  'POST /units/:id/photo-points/:point/pictures': { least: 'crew-lead', of: { unit: 'id' } },
  'GET /units/:id/visits/:visit/pictures/:picture': { least: 'landowner', of: { unit: 'id' } },
  'GET /settings': planner,
  'POST /settings/weights': plannerOfAll,
  'POST /settings/supply': plannerOfAll,
  'POST /settings/crews/:id': plannerOfAll,
  'POST /settings/anchors/:id': { least: 'planner', of: { property: 'id' } },
  'POST /settings/anchors/:id/default': { least: 'planner', of: { property: 'id' } },
  'POST /settings/fit-days/:key': plannerOfAll,
  'POST /settings/fit-days/:key/default': plannerOfAll,
  'GET /weather': crewLead,
  'GET /weather/station': crewLead,
  'GET /weather/import': planner,
  'POST /weather/import': planner,
  'POST /weather/import/stop': planner,
  'GET /weather/forecast': crewLead,
  'POST /weather/forecast': crewLead,
  'POST /weather/forecast/refresh': crewLead,
  'POST /weather/service': administratorOfAll,
  'GET /sign-in': anyone,
  'POST /sign-in': anyone,
  'POST /sign-out': anyone,
  'GET /new-password/:token': ofToken,
  'POST /new-password/:token': ofToken,
  'GET /account': landowner,
  'POST /account/password': landowner,
  'POST /account/sessions/:id/end': landowner,
  'POST /account/sessions/end-others': landowner,
  'GET /people-access': administrator,
  'POST /people-access/first': administrator,
  'POST /people-access': { least: 'administrator', of: null, why: 'no more than own properties' },
  'GET /people-access/:id': administrator,
  'POST /people-access/:id': administrator,
  'POST /people-access/:id/retire': administrator,
  'POST /people-access/:id/back': administrator,
  'POST /people-access/:id/link': administrator,
  'POST /people-access/:id/sessions/end': administrator,
  'GET /job-figures': landowner,
  'GET /planned-and-done': crewLead,
  'GET /planned-and-done.csv': crewLead,
  'GET /rates': crewLead,
  'POST /rates': { least: 'planner', of: { property: '=propertyId' } },
  'POST /rates/share': plannerOfAll,
  'GET /contracts': landowner,
  'GET /contracts/:id': { ...landowner, why: 'a contract of land that is hidden is not found' },
  'GET /contracts/:id/summary.csv': {
    ...landowner,
    why: 'a contract of land that is hidden is not found',
  },
};

/** Patterns by method and first part of the path, single words before parameters. */
const patterns = new Map<string, { parts: string[]; row: RouteAccess }[]>();
for (const [route, row] of Object.entries(routeAccess)) {
  const [method = '', path = ''] = route.split(' ');
  const parts = path.split('/').slice(1);
  const key = `${method} ${parts[0]}`;
  patterns.set(key, [...(patterns.get(key) ?? []), { parts, row }]);
}
const parameters = (parts: readonly string[]) =>
  parts.filter((part) => part.startsWith(':')).length;
for (const list of patterns.values())
  list.sort((a, b) => parameters(a.parts) - parameters(b.parts));

/** The row for a path as it stands in a link or a form; null = there is no such route. */
export function accessOf(method: string, path: string): RouteAccess | null {
  const parts = (path.split(/[?#]/, 1)[0] ?? '').split('/').slice(1);
  if (parts.length > 1 && parts.at(-1) === '') parts.pop();
  const found = patterns
    .get(`${method} ${parts[0]}`)
    ?.find(
      (one) =>
        one.parts.at(-1) === '*' ||
        (one.parts.length === parts.length &&
          one.parts.every((part, at) => part.startsWith(':') || part === parts[at])),
    );
  return found?.row ?? null;
}

export function mayWriteKind(person: SignedIn | null, kind: string): boolean {
  return person === null || crewKinds.has(kind) || isAtLeast(person.role, 'planner');
}

/** True when a person may call a path, by their role and by whether they see all properties. */
export function mayCall(person: SignedIn | null, method: string, path: string): boolean {
  if (person === null) return true;
  const row = accessOf(method, path);
  if (row === null) return false;
  if (row.of === 'all' && !maySeeAll(person)) return false;
  const isKind = row.of !== null && row.of !== 'all' && 'record' in row.of;
  const [, kind = ''] = /^\/records\/([^/?#]+)/.exec(path) ?? [];
  if (isKind && !mayWriteKind(person, kind)) return false;
  return row.least === 'anyone' || isAtLeast(person.role, row.least);
}
