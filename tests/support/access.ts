import type { FastifyInstance } from 'fastify';
import { webDeps } from '../../src/cli/deps.ts';
import { type OperationFile, openOperationFile } from '../../src/cli/operation-file.ts';
import type { AccountRow } from '../../src/core/accounts.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { landModel } from '../../src/core/schedule/land-model.ts';
import { planContent } from '../../src/core/schedule/plan.ts';
import { searchCounted } from '../../src/core/schedule/search.ts';
import { buildApp } from '../../src/web/app.ts';
import { noHealth } from './fake-deps.ts';

export const accessToday = isoDate('2026-11-25');

/** Limits that no test comes near. */
export const noLimits = {
  pages: { atOnce: 1e6, perSecond: 1e6 },
  changes: { atOnce: 1e6, perSecond: 1e6 },
};

function planAndAdopt(file: OperationFile): void {
  const operation = file.operation();
  const problem = landModel(operation, file.horizon(operation), null);
  const run = { seed: 1, iterations: 60, seconds: 0, version: '' };
  const { choice } = searchCounted(problem.model, 1, run.iterations).best();
  const content = planContent(operation, problem, choice, run);
  const draft = file.store.plans.saveDraft(content, file.store.revision());
  file.store.plans.adopt(draft.id, () => file.publish());
}

/** Sample land of two owners in a database in memory, behind real pages; with a plan in force where it is asked for. */
export function sampleApp({ isPlanned = false } = {}) {
  const file = openOperationFile(':memory:', accessToday);
  file.store.replaceLand(sampleLand(accessToday));
  if (isPlanned) planAndAdopt(file);
  const nothing = () => {};
  const deps = webDeps(file, nothing, () => false, noHealth);
  const app = buildApp(deps, { limits: noLimits });
  return { file, deps, app };
}

/** The password of every account of the tests, and its hash, made once: a hash takes a quarter of a second. */
export const testPassword = 'seven herons on a fence';

/** An account that is signed in: its number and the header of its requests. */
export function signedIn(
  { file }: Pick<ReturnType<typeof sampleApp>, 'file'>,
  row: Partial<AccountRow> & Pick<AccountRow, 'name' | 'role'>,
): { id: number; headers: Record<string, string> } {
  const { accounts } = file.store;
  const whole = { hasAllProperties: false, landownerId: null, propertyIds: [], ...row };
  const made = accounts.add(whole, 'scrypt$1$8$1$AAAA$AAAA');
  if (!made.ok) throw new Error(made.problems[0]?.message);
  const token = accounts.sessions.start(made.value, 'Test', '127.0.0.1');
  return { id: made.value, headers: { cookie: `seasonwright=${token}` } };
}

/** Sends a form as a page of this site does. */
export function post(
  app: FastifyInstance,
  url: string,
  fields: Record<string, string>,
  headers: Record<string, string> = {},
) {
  return app.inject({
    method: 'POST',
    url,
    payload: new URLSearchParams(fields).toString(),
    headers: {
      host: 'localhost',
      'content-type': 'application/x-www-form-urlencoded',
      'sec-fetch-site': 'same-origin',
      ...headers,
    },
  });
}

export function get(app: FastifyInstance, url: string, headers: Record<string, string> = {}) {
  return app.inject({ method: 'GET', url, headers: { host: 'localhost', ...headers } });
}
