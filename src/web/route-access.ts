import type { Role } from '../core/accounts.ts';

/** Where a route names what it is about: a parameter of the path, `?name` of the query or `=name` of the form. */
export type Scope =
  | { property: string }
  | { unit: string }
  | { block: string }
  | { crew: string }
  | { entry: string }
  | { task: string }
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

/**
 * Who may call each route, and on what: one row a route, by method and path. A route without a row is closed to
 * all, and a test fails.
 */
export const routeAccess: Readonly<Record<string, RouteAccess>> = {
  'GET /assets/htmx.min.js': anyone,
  'GET /assets/*': anyone,
  'GET /health': { least: 'anyone', of: null, why: 'says only that the database answers' },
  'GET /this-server': administrator,
  'GET /': crewLead,
  'GET /year': landowner,
  'GET /units': landowner,
  'GET /units/:id': { least: 'landowner', of: { unit: 'id' } },
  'POST /units/:id': { least: 'planner', of: { unit: 'id' } },
  'POST /units/:id/block': { least: 'planner', of: { unit: 'id' } },
  'POST /units/:id/entries': { least: 'crew-lead', of: { unit: 'id' } },
  'GET /plan': planner,
  'GET /settings': administrator,
};
