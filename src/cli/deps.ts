import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { monthlyOf } from './weather-import.ts';
import { webFeeds } from './web-feeds.ts';
import { webLand } from './web-land.ts';
import { webPlanning, webPlans } from './web-planning.ts';

/** The pages' view of the adapters. */
export function webDeps(file: OperationFile, planSample: () => void): Deps {
  const { store, library } = file;
  return {
    today: file.today,
    operation: file.operation,
    plans: webPlans(file),
    planning: webPlanning(file),
    land: webLand(file, planSample),
    worklog: {
      record: (entry) => store.worklog.record(entry, library),
      remove: (entryId) => store.worklog.remove(entryId, library),
    },
    weather: {
      stations: store.weather.stations,
      monthlyFitDays: (stationName, prescriptionKey) => {
        const counts = store.weather.loadFitDayCounts(stationName, prescriptionKey);
        if (counts.length === 0) return null;
        const rows = counts.map((count) => [count.year, monthlyOf(count.halfMonths)] as const);
        return {
          years: Object.fromEntries(rows),
          mean: Array.from(
            { length: 12 },
            (_, month) => rows.reduce((sum, [, row]) => sum + (row[month] ?? 0), 0) / rows.length,
          ),
          unknownHours: counts.reduce((sum, count) => sum + count.unknownHours, 0),
        };
      },
    },
    feeds: webFeeds(file),
  };
}
