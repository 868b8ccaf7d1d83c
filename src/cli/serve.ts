import { existsSync } from 'node:fs';
import type { FastifyInstance } from 'fastify';
import type { IsoDate } from '../core/dates.ts';
import { sampleLand } from '../core/sample/land.ts';
import { pictureNames } from '../core/visits.ts';
import type { PlanRun } from '../solver/planning.ts';
import { writeFault } from '../storage/write-faults.ts';
import { buildApp } from '../web/app.ts';
import {
  exitDone,
  printProblems,
  readArguments,
  readNumber,
  readToday,
  type Verb,
} from './arguments.ts';
import { claimDatabase, keepBackups } from './backup.ts';
import { webDeps } from './deps.ts';
import { keepLogShort } from './log-purge.ts';
import { type OperationFile, openOperationFile } from './operation-file.ts';
import { iterationsDefault } from './plan.ts';
import { startPlanning } from './planning.ts';
import {
  accountNeeded,
  appOptionsOf,
  isReachable,
  loopbackHosts,
  portDefault,
  publicUrlOf,
  type ServeAddress,
} from './serve-address.ts';
import { loadSampleWeather } from './weather-import.ts';
import { keepPastYearsFresh } from './web-burns.ts';
import { webHealth } from './web-health.ts';
import { keepForecastsFresh } from './web-weather.ts';

const databaseDefault = 'data/seasonwright.db';

/** Plans freshly loaded sample land by a counted budget and puts the plan in force. */
async function planSample(
  file: OperationFile,
  onStart: (search: PlanRun) => void = () => {},
): Promise<void> {
  const operation = file.operation();
  const madeFrom = file.store.revision();
  const limits = { seed: 1, iterations: iterationsDefault };
  const planning = startPlanning(operation, file.horizon(operation), null, limits);
  onStart(planning);
  const outcome = await planning.result;
  if (!outcome.ok) {
    printProblems(outcome.problems);
    return;
  }
  // The land may have been replaced while the search ran.
  if (file.store.revision() !== madeFrom) return;
  const draft = file.store.plans.saveDraft(outcome.value, madeFrom);
  file.store.plans.adopt(draft.id, () => file.publish());
}

// Less than the 90 seconds after which a service manager kills.
const stopMsMost = 10_000;

/** Lets the requests under way end; one that does not in ten seconds is cut off. */
async function closeInTime(app: FastifyInstance): Promise<void> {
  const timer = setTimeout(() => app.server.closeAllConnections(), stopMsMost);
  await app.close();
  clearTimeout(timer);
}

function untilSignal(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
  });
}

async function run(args: string[]): Promise<number> {
  const names = ['db', 'port', 'host', 'today', 'public-url', 'proxy'];
  const { values } = readArguments(args, names);
  const path = values['db'] ?? process.env['SEASONWRIGHT_DB'] ?? databaseDefault;
  const port = readNumber(values, 'port', { least: 0, most: 65535, whole: true }) ?? portDefault;
  const address: ServeAddress = {
    port,
    host: values['host'] ?? '127.0.0.1',
    publicUrl: publicUrlOf(values['public-url']),
    proxies: (values['proxy'] ?? '').split(',').filter((one) => one !== ''),
  };
  // Before a database is made out of a path that holds none.
  if (isReachable(address) && !existsSync(path)) throw accountNeeded(address);
  const fixedToday = readToday(values);
  const letGo = claimDatabase(path);
  try {
    return await answer(path, fixedToday, address);
  } finally {
    letGo();
  }
}

/** Answers requests until a signal ends it. */
async function answer(path: string, fixedToday: IsoDate | null, at: ServeAddress): Promise<number> {
  const file = openOperationFile(path, fixedToday);
  const { port, host } = at;
  try {
    file.store.photos?.sweep([
      ...file.store.worklog.photoNames(),
      ...pictureNames(file.store.landContent().visits),
    ]);
    if (isReachable(at) && !file.store.accounts.hasAny()) throw accountNeeded(at);
    if (file.operation().properties.length === 0) {
      process.stdout.write('Loading the sample land and planning it ...\n');
      const today = file.today('America/Chicago');
      file.store.replaceLand(sampleLand(today), '', () => loadSampleWeather(file, today));
      await planSample(file);
    }
    let isStopping = false;
    const sampleSearches = new Set<PlanRun>();
    const planAgain = (): void => {
      const own: PlanRun[] = [];
      planSample(file, (search) => {
        own.push(search);
        sampleSearches.add(search);
      })
        .then(() => {
          if (!isStopping) keepPastYearsFresh(deps);
        })
        .catch((error: unknown) => {
          if (!isStopping) process.stderr.write(`The sample was not planned: ${error}\n`);
        })
        .finally(() => {
          for (const search of own) sampleSearches.delete(search);
        });
    };
    const backups = keepBackups(path);
    const endPurge = keepLogShort(file.store);
    const health = webHealth(file, path, backups);
    const deps = webDeps(file, planAgain, () => sampleSearches.size > 0, health);
    const app = buildApp(deps, { logger: true, diskProblem: writeFault, ...appOptionsOf(at) });
    const address = await app.listen({ port, host }).catch((error: NodeJS.ErrnoException) => {
      if (error.code !== 'EADDRINUSE') throw error;
      throw new Error(
        `Port ${port} is in use on ${host}, perhaps by this program started before. Stop that one, or name another with --port N.`,
      );
    });
    // Whoever reads the address may stop the program at once.
    const stopped = untilSignal();
    process.stdout.write(`Seasonwright answers at ${address} (stop with Ctrl+C).\n`);
    if (isReachable(at) && !at.publicUrl?.startsWith('https://'))
      process.stderr.write(
        'Passwords cross the network unencrypted: put a proxy with TLS in front and name it with --public-url https://...\n',
      );
    const endForecasts = keepForecastsFresh(deps);
    keepPastYearsFresh(deps);
    await stopped;
    endForecasts();
    backups.end();
    endPurge();
    isStopping = true;
    // The process lives as long as a search does.
    deps.planning.stop();
    deps.whatIf.stop();
    deps.burns.pastYears.stop();
    for (const search of sampleSearches) search.stop();
    await closeInTime(app);
    return exitDone;
  } finally {
    file.close();
  }
}

export const serveVerb: Verb = {
  name: 'serve',
  summary: 'start the program; on the first run with sample land, planned',
  help: `
Usage: node dist/cli/main.js serve [--db FILE] [--port N] [--host H]

  --db FILE      the database (default ${databaseDefault}, or the environment variable SEASONWRIGHT_DB)
  --port N       port (default ${portDefault}; 0 = any free one)
  --host H       ${loopbackHosts.join(', ')}: this machine only; with an account also others, such as 0.0.0.0
  --public-url U the address that people use where a proxy with TLS stands in front, such as https://work.example.org
  --proxy A,B    addresses of proxies that are not on this machine
  --today DATE   take this day for today (tests and pictures)
`,
  run,
};
