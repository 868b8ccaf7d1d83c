import type { Problem } from '../core/problems.ts';
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
import { webWhatIf } from './web-what-if.ts';
import { webWhole } from './web-whole.ts';
import { webWorklog } from './web-worklog.ts';

const tryingNow: Problem = {
  code: 'planning-running',
  message: 'A what-if is being searched: wait until it is done, or stop it on its page.',
};

/** The pages' view of the adapters, each person's cut down to what they may see. */
export function webDeps(
  file: OperationFile,
  planSample: () => void,
  isSampleUnderWay: () => boolean,
  health: Deps['health'],
): Deps {
  const plans = webPlans(file);
  const planning = webPlanning(file);
  const records = webRecords(file);
  const isPlanning = () => planning.run()?.state === 'running' || isSampleUnderWay();
  const whatIf = webWhatIf(file, plans, records, { isPlanning });
  const isTrying = () =>
    ['running', 'stopping'].includes(whatIf.run()?.state ?? '') || whatIf.waiting().length > 0;
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
    planning: {
      ...planning,
      isSampleUnderWay,
      start: (limits) =>
        isTrying() ? { ok: false, problems: [tryingNow] } : planning.start(limits),
    },
    whatIf: {
      ...whatIf,
      adopt: (id) => {
        const problems = whatIf.adopt(id);
        if (problems.length === 0) keepPastYearsFresh({ plans, burns });
        return problems;
      },
    },
    land: webLand(file, planSample),
    records,
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
