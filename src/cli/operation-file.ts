import { existsSync } from 'node:fs';
import { basename } from 'node:path';
import { checkPlan } from '../core/check/plan.ts';
import { type DateRange, type IsoDate, isoDate, monthDay } from '../core/dates.ts';
import { landEntries, passedKeys } from '../core/land-entries.ts';
import type { Library } from '../core/library.ts';
import type { Operation } from '../core/operation.ts';
import type { PlanContent } from '../core/plans.ts';
import type { Problem } from '../core/problems.ts';
import { calendarEntries } from '../core/publication.ts';
import { horizonFrom } from '../core/seasons.ts';
import { loadLibrary } from '../reference/library.ts';
import { keepCopy } from '../storage/backup.ts';
import { openStore, type Store } from '../storage/store.ts';
import { currentPerson } from './person.ts';

/** The database of an operation with the library, and the few things that hang on both. */
export interface OperationFile {
  /** `:memory:` in tests. */
  path: string;
  store: Store;
  library: Library;
  /** The snapshot as of now; read again only after a write. */
  operation(): Operation;
  /** Today in a zone, or in that of the first property; fixed by `--today`. */
  today(timeZone?: string): IsoDate;
  horizon(operation: Operation): DateRange;
  /** What the independent checker finds wrong with a plan now. */
  check(plan: PlanContent): Problem[];
  /** Brings the published tasks in line with the plan in force and the facts. */
  publish(): void;
  /** Several writes as one: with problems, or when one of them throws, none of them was made. */
  allOrNone(work: () => Problem[]): Problem[];
  /**
   * Keeps a copy of the file before everything in it is replaced, and says where; empty where there is nothing to keep.
   * Throws with a sentence when it can not: then nothing may be replaced.
   */
  keepCopy(): string;
  close(): void;
}

/** Civil date in an IANA zone at an instant. */
export function dateIn(timeZone: string, at: Date): IsoDate {
  const parts = new Intl.DateTimeFormat('en-US', {
    timeZone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  }).formatToParts(at);
  const part = (type: string) => parts.find((one) => one.type === type)?.value ?? '';
  return isoDate(`${part('year')}-${part('month')}-${part('day')}`);
}

/** Takes a transaction back that found a problem. */
class Refused extends Error {}

/** Opens (and makes or migrates) the database. Throws with a plain sentence when it cannot. */
export function openOperationFile(
  path: string,
  fixedToday: IsoDate | null,
  library: Library = loadLibrary(),
): OperationFile {
  const store = openStore(path, () => new Date(), currentPerson);
  let snapshot: { revision: number; operation: Operation } | null = null;
  const operation = (): Operation => {
    const revision = store.revision();
    if (snapshot?.revision !== revision)
      snapshot = { revision, operation: store.operation(library) };
    return snapshot.operation;
  };
  const today = (timeZone?: string): IsoDate =>
    fixedToday ?? dateIn(timeZone ?? operation().properties[0]?.timeZone ?? 'UTC', new Date());
  return {
    path,
    store,
    library,
    operation,
    today,
    horizon: (now) =>
      horizonFrom(
        today(),
        now.properties[0]?.burningSeasonStart ?? monthDay('07-01'),
        now.settings.seasonsAfter,
      ),
    check: (plan) => checkPlan(operation(), plan),
    publish: () => {
      const now = store.operation(library);
      const plan = store.plans.inForce();
      const content = plan?.content ?? null;
      const published = store.published();
      store.syncPublished(
        [
          ...calendarEntries(now, content, today(), published),
          ...landEntries(now, content, today()),
        ],
        passedKeys(published, today()),
      );
    },
    allOrNone: (work) => {
      let problems: Problem[] = [];
      try {
        store.inOneTransaction(() => {
          problems = work();
          if (problems.length > 0) throw new Refused();
        });
      } catch (error) {
        // What was read inside is of a state that never came to be.
        snapshot = null;
        if (!(error instanceof Refused)) throw error;
      }
      return problems;
    },
    keepCopy: () =>
      path === ':memory:' || operation().properties.length === 0
        ? ''
        : `What was there before is kept in the folder backups beside the database, as ${basename(keepCopy(path, new Date()))}.`,
    close: () => store.close(),
  };
}

/**
 * Opens a database that is there already. Throws with a plain sentence when it is not: a verb that only reads
 * or plans would make an empty one out of a mistyped path.
 */
export function openPresentFile(path: string, fixedToday: IsoDate | null): OperationFile {
  if (path !== ':memory:' && !existsSync(path))
    throw new Error(`There is no database ${path}. Check --db; serve and demo make a new one.`);
  return openOperationFile(path, fixedToday);
}
