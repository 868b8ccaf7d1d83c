import { addYears, firstDayIn, type IsoDate, monthDay } from '../core/dates.ts';
import type { PublishedTask } from '../core/publication.ts';
import { restrictedList, restrictedPlan, restrictedTo } from '../core/restricted.ts';
import { planTable } from '../exchange/csv-plan.ts';
import { renderOnce } from '../feeds/ics.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import type { CurrentSight } from './sight.ts';

export interface PublishedRows {
  revision: number;
  today: IsoDate;
  rows: PublishedTask[];
}

/** Files to import once, and the plan in force as a table, of what the person may see. */
export function webFeedFiles(
  file: OperationFile,
  published: () => PublishedRows,
  sight: CurrentSight,
): Pick<Deps['feeds'], 'taskFile' | 'seasonFile' | 'planTable'> {
  const rows = () => restrictedList(published().rows, sight());
  return {
    taskFile: (taskKey, baseUrl) => {
      const row = rows().find((one) => one.taskKey === taskKey);
      return row ? renderOnce(row.entry.summary, [row], baseUrl) : null;
    },
    seasonFile: (season, baseUrl) => {
      const startsAt = file.operation().properties[0]?.burningSeasonStart ?? monthDay('07-01');
      const startsOn = firstDayIn(season, startsAt);
      const endsBefore = addYears(startsOn, 1);
      const found = rows().filter(
        ({ entry, cancelledAt }) =>
          entry.kind === 'task' &&
          cancelledAt === null &&
          entry.startsOn < endsBefore &&
          startsOn < entry.endsBefore,
      );
      return found.length > 0 ? renderOnce(`Season ${season}`, found, baseUrl) : null;
    },
    planTable: () => {
      const own = sight();
      const plan = file.store.plans.inForce();
      const content = plan && restrictedPlan(plan, own).content;
      return planTable(restrictedTo(file.operation(), own), content);
    },
  };
}
