import { addYears, firstDayIn, type IsoDate, monthDay } from '../core/dates.ts';
import type { PublishedTask } from '../core/publication.ts';
import { planTable } from '../exchange/csv-plan.ts';
import { renderOnce } from '../feeds/ics.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

export interface PublishedRows {
  revision: number;
  today: IsoDate;
  rows: PublishedTask[];
}

/** Files to import once, and the plan in force as a table. */
export function webFeedFiles(
  file: OperationFile,
  rows: () => PublishedRows,
): Pick<Deps['feeds'], 'taskFile' | 'seasonFile' | 'planTable'> {
  return {
    taskFile: (taskKey, baseUrl) => {
      const row = rows().rows.find((one) => one.taskKey === taskKey);
      return row ? renderOnce(row.entry.summary, [row], baseUrl) : null;
    },
    seasonFile: (season, baseUrl) => {
      const startsAt = file.operation().properties[0]?.burningSeasonStart ?? monthDay('07-01');
      const startsOn = firstDayIn(season, startsAt);
      const endsBefore = addYears(startsOn, 1);
      const found = rows().rows.filter(
        ({ entry, cancelledAt }) =>
          entry.kind === 'task' &&
          cancelledAt === null &&
          entry.startsOn < endsBefore &&
          startsOn < entry.endsBefore,
      );
      return found.length > 0 ? renderOnce(`Season ${season}`, found, baseUrl) : null;
    },
    planTable: () => planTable(file.operation(), file.store.plans.inForce()?.content ?? null),
  };
}
