import { webDeps } from '../../src/cli/deps.ts';
import { type OperationFile, openOperationFile } from '../../src/cli/operation-file.ts';
import type { IsoDate } from '../../src/core/dates.ts';
import type { PlannedTask } from '../../src/core/tasks.ts';
import { buildApp } from '../../src/web/app.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeDeps } from './fake-deps.ts';
import { fakeOperation, fakeToday } from './operation.ts';
import { fakePlan } from './plan.ts';

/** The invented operation in a real store, mostly in memory, with its plan in force, behind the real app. */
export function feedServer(today: IsoDate = fakeToday, path = ':memory:') {
  const operation = fakeOperation();
  const file: OperationFile = openOperationFile(path, today, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  const adopt = (tasks: PlannedTask[]): void => {
    const content = { ...fakePlan().content, tasks };
    const draft = file.store.plans.saveDraft(content, file.store.revision());
    const adopted = file.store.plans.adopt(draft.id, () => file.publish());
    if (!adopted.ok) throw new Error(adopted.problems[0]?.message);
  };
  const deps = webDeps(
    file,
    () => undefined,
    () => false,
    fakeDeps().health,
  );
  const log: string[] = [];
  const app = buildApp(deps, { logger: false, anyHost: true });
  /** Makes an address for the feed whose name ends so, e.g. `p1`, `c2`. */
  const addressFor = (ending: string, mayReport = false) => {
    const scope = deps.feeds.scopes().find((one) => one.name.endsWith(ending));
    const made = deps.feeds.create(scope?.name ?? ending, 'test', mayReport);
    if (!made.ok) throw new Error(made.problems[0]?.message);
    const { token, link } = made.value;
    return { token, link, path: `/feed/${token}/${link.name}.ics` };
  };
  const get = (url: string, headers: Record<string, string> = {}) =>
    app.inject({ method: 'GET', url, headers: { host: 'land.example', ...headers } });
  return { file, deps, app, log, adopt, addressFor, get, tasks: () => fakePlan().content.tasks };
}
