#!/usr/bin/env node
import { exitDone, exitProblems, exitUsage, UsageError, type Verb } from './arguments.ts';
import { backupVerb, restoreVerb } from './backup.ts';
import { burnDaysVerb } from './burn-days.ts';
import { checkVerb } from './check.ts';
import { demoVerb } from './demo.ts';
import { doctorVerb } from './doctor.ts';
import { exportLandVerb } from './export-land.ts';
import { feedVerb } from './feed.ts';
import { importHistoryVerb } from './import-history.ts';
import { importUnitsVerb } from './import-units.ts';
import { importWeatherVerb } from './import-weather.ts';
import { planVerb } from './plan.ts';
import { serveVerb } from './serve.ts';
import { solveVerb } from './solve.ts';
import { userVerb } from './user.ts';
import { exportVerb, importVerb } from './whole-operation.ts';

const solve: Verb = {
  name: 'solve',
  summary: 'solve a neutral scheduling problem file',
  help: '',
  run: solveVerb,
};

const verbs: Verb[] = [
  serveVerb,
  demoVerb,
  importUnitsVerb,
  importHistoryVerb,
  exportLandVerb,
  importWeatherVerb,
  burnDaysVerb,
  planVerb,
  checkVerb,
  feedVerb,
  backupVerb,
  restoreVerb,
  exportVerb,
  importVerb,
  doctorVerb,
  userVerb,
  solve,
];

function usage(): string {
  const width = Math.max(...verbs.map((verb) => verb.name.length));
  const lines = verbs.map((verb) => `  ${verb.name.padEnd(width)}  ${verb.summary}`);
  return `Usage: node dist/cli/main.js VERB [options]\n\n${lines.join('\n')}\n\nVERB --help tells the options of a verb.\n`;
}

async function main([name, ...args]: string[]): Promise<number> {
  if (name === undefined) {
    process.stderr.write(usage());
    return exitUsage;
  }
  if (name === '--help' || name === 'help') {
    process.stdout.write(usage());
    return exitDone;
  }
  const verb = verbs.find((one) => one.name === name);
  if (!verb) {
    process.stderr.write(`There is no verb "${name}".\n\n${usage()}`);
    return exitUsage;
  }
  if (args.includes('--help') && verb.help !== '') {
    process.stdout.write(`${verb.help.trim()}\n`);
    return exitDone;
  }
  try {
    return await verb.run(args);
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
    if (!(error instanceof UsageError)) return exitProblems;
    process.stderr.write(`See: node dist/cli/main.js ${verb.name} --help\n`);
    return exitUsage;
  }
}

// A reader that closes the pipe early (`feed --name x | head`) is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});

process.exitCode = await main(process.argv.slice(2));
