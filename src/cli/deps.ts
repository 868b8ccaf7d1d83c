import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { scopedDeps } from './scope.ts';
import { sightOfRequest } from './sight.ts';
import { webAccess } from './web-access.ts';
import { keepPastYearsFresh, webBurns } from './web-burns.ts';
import { webChanges } from './web-changes.ts';
import { webFeeds } from './web-feeds.ts';
import { webFiles } from './web-files.ts';
import { webFitDays } from './web-fit-days.ts';
import { webLand } from './web-land.ts';
import { webPackets } from './web-packets.ts';
import { webPapers } from './web-papers.ts';
import { webPlanning, webPlans } from './web-planning.ts';
import { webRecords } from './web-records.ts';
import { webSeasons } from './web-seasons.ts';
import { webShapes } from './web-shapes.ts';
import { webWeather } from './web-weather.ts';
import { webWhole } from './web-whole.ts';
import { webWorklog } from './web-worklog.ts';

/** The pages' view of the adapters, each person's cut down to what they may see. */
export function webDeps(
  file: OperationFile,
  planSample: () => void,
  isSampleUnderWay: () => boolean,
  health: Deps['health'],
): Deps {
  const plans = webPlans(file);
  const burns = webBurns(file);
  const sight = sightOfRequest(file);
  const whole: Deps = {
    access: webAccess(file),
    today: file.today,
    allOrNone: file.allOrNone,
    operation: file.operation,
    plans: {
      ...plans,
      adopt: (planId) => {
        const outcome = plans.adopt(planId);
        keepPastYearsFresh({ plans, burns });
        return outcome;
      },
    },
    planning: { ...webPlanning(file), isSampleUnderWay },
    land: webLand(file, planSample),
    records: webRecords(file),
    changeLog: webChanges(file),
    whole: webWhole(file),
    shapes: webShapes(file),
    files: webFiles(file),
    worklog: webWorklog(file),
    papers: webPapers(file),
    packets: webPackets(file),
    weather: webWeather(file),
    fitDays: webFitDays(file),
    seasons: webSeasons(file),
    answers: {
      yardsticks: () => file.library.yardsticks,
      picture: (fileName) => file.store.photos?.read(fileName) ?? null,
    },
    burns,
    health,
    feeds: webFeeds(file, sight),
  };
  return scopedDeps(whole, file.store.landContent, sight);
}
