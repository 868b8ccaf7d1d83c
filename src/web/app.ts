import formbody from '@fastify/formbody';
import multipart from '@fastify/multipart';
import fastify, { type FastifyInstance } from 'fastify';
import type { Problem } from '../core/problems.ts';
import type { Deps } from './deps.ts';
import { registerAccess } from './plugins/access.ts';
import { registerAssets } from './plugins/assets.ts';
import { registerErrors } from './plugins/errors.ts';
import { type RequestLimits, requestLimitsDefault } from './plugins/limits.ts';
import { registerSecurity } from './plugins/security.ts';
import { registerViews } from './plugins/views.ts';
import { registerAccessPages } from './routes/access.ts';
import { registerAnswers } from './routes/answers.ts';
import { registerBurn } from './routes/burn.ts';
import { registerBurnCheck } from './routes/burn-check.ts';
import { registerBurnDays } from './routes/burn-days.ts';
import { registerCalendarFiles } from './routes/calendar-files.ts';
import { registerChanges } from './routes/changes.ts';
import { registerChoices } from './routes/choices.ts';
import { registerContracts } from './routes/contracts.ts';
import { registerCrew } from './routes/crew.ts';
import { registerCrewDays } from './routes/crew-days.ts';
import { registerCure } from './routes/cure.ts';
import { redactFeedUrl, registerFeedFiles } from './routes/feed-files.ts';
import { registerFeeds } from './routes/feeds.ts';
import { registerFuel } from './routes/fuel.ts';
import { registerHealth } from './routes/health.ts';
import { registerHistory } from './routes/history.ts';
import { registerJobFigures } from './routes/job-figures.ts';
import { registerLand } from './routes/land.ts';
import { registerLandFiles } from './routes/land-files.ts';
import { registerLeafOut } from './routes/leaf-out.ts';
import { registerMap } from './routes/map.ts';
import { registerMore } from './routes/more.ts';
import { registerNoWork } from './routes/no-work.ts';
import { registerPackets } from './routes/packets.ts';
import { registerPastYears } from './routes/past-years.ts';
import { registerPlan } from './routes/plan.ts';
import { registerPlannedAndDone } from './routes/planned-and-done.ts';
import { registerRates } from './routes/rates.ts';
import { registerRecords } from './routes/records.ts';
import { registerReports } from './routes/reports.ts';
import { registerRotations } from './routes/rotations.ts';
import { registerSequences } from './routes/sequences.ts';
import { registerSettings } from './routes/settings.ts';
import { registerShapes } from './routes/shapes.ts';
import { registerSheets } from './routes/sheets.ts';
import { registerToday } from './routes/today.ts';
import { registerUnits } from './routes/units.ts';
import { registerWeather } from './routes/weather.ts';
import { registerWhatIf } from './routes/what-if.ts';
import { registerWholeOperation } from './routes/whole-operation.ts';
import { registerWorklog } from './routes/worklog.ts';
import { registerYear } from './routes/year.ts';

export interface AppOptions {
  /** Write what breaks to standard error. */
  logger?: boolean;
  /** Answer under any host name; default: this machine's own names, and those named below. */
  anyHost?: boolean;
  /** The address that people use, `https://work.example.org`, where a proxy stands before the server. */
  publicUrl?: string | null;
  /** Names of this server in the network; with any of them, addresses in figures are answered, too. */
  hostNames?: readonly string[];
  /** Addresses of proxies whose X-Forwarded headers are believed. */
  proxies?: readonly string[];
  limits?: RequestLimits;
  /** What a failed write means to the person who waits for it; null for a fault of another kind. */
  diskProblem?: (error: unknown) => Problem | null;
}

const pages: ((app: FastifyInstance, deps: Deps) => void)[] = [
  registerFeedFiles,
  registerAccessPages,
  registerAnswers,
  registerBurn,
  registerBurnCheck,
  registerBurnDays,
  registerCalendarFiles,
  registerChanges,
  registerContracts,
  registerChoices,
  registerCrew,
  registerCrewDays,
  registerCure,
  registerFeeds,
  registerFuel,
  registerHealth,
  registerHistory,
  registerJobFigures,
  registerLand,
  registerLandFiles,
  registerLeafOut,
  registerMap,
  registerMore,
  registerNoWork,
  registerPackets,
  registerPastYears,
  registerPlan,
  registerPlannedAndDone,
  registerRates,
  registerRecords,
  registerReports,
  registerRotations,
  registerSequences,
  registerSettings,
  registerShapes,
  registerSheets,
  registerToday,
  registerUnits,
  registerWeather,
  registerWhatIf,
  registerWholeOperation,
  registerWorklog,
  registerYear,
];

/** Largest land import. */
export const uploadBytesMost = 20 * 1024 * 1024;

/**
 * The web app over its adapters. Nothing listens yet: the command line listens, tests inject.
 * `await` it, or its `ready()`, before the first request.
 */
export function buildApp(deps: Deps, options: AppOptions = {}): FastifyInstance {
  const app = fastify({
    trustProxy: options.proxies && options.proxies.length > 0 ? [...options.proxies] : false,
    // What broke, with the number of the request that its page shows. Feed addresses are secrets, so their
    // tokens are kept out.
    logger: options.logger
      ? {
          level: 'warn',
          stream: process.stderr,
          serializers: { req: ({ method, url }) => ({ method, url: redactFeedUrl(url) }) },
        }
      : false,
    ajv: { customOptions: { allErrors: true } },
    routerOptions: {
      ignoreTrailingSlash: true,
      // One value a name, the last: pages read text, and a name given twice must not be a list to them.
      querystringParser: (text) => Object.fromEntries(new URLSearchParams(text)),
    },
  });
  app.decorate('publicUrl', options.publicUrl ?? null);
  registerErrors(app, options.diskProblem ?? (() => null));
  registerSecurity(app, {
    anyHost: options.anyHost ?? false,
    hostNames: options.hostNames ?? [],
  });
  registerAccess(app, deps, options.limits ?? requestLimitsDefault);
  registerViews(app);
  registerAssets(app);
  // Forms only: other sites can send text without being asked first, and no page sends JSON.
  app.removeContentTypeParser(['application/json', 'text/plain']);
  app.register(formbody);
  app.register(multipart, {
    limits: { fileSize: uploadBytesMost, fieldSize: uploadBytesMost, files: 1, fields: 10 },
  });
  app.decorateRequest('typed');
  app.decorateRequest('was');
  app.decorateRequest('isSure');
  for (const register of pages) register(app, deps);
  return app;
}
