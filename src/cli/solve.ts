import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { checkProblemAnswer } from '../core/check/problem-file.ts';
import type { ProblemAnswer, ProblemFile } from '../core/problem-file.ts';
import type { Outcome } from '../core/problems.ts';
import { answerOf, modelOf, parseProblemFile } from '../core/schedule/problem-file.ts';
import { type SearchLimits, type SearchResult, startSearch } from '../solver/run.ts';
import {
  exitDone,
  exitProblems,
  exitUsage,
  printProblems,
  readArguments,
  readNumber,
  readRequired,
  UsageError,
  writeJson,
} from './arguments.ts';

export const solveHelp = `Usage: solve FILE.json[.gz] [--seed N] [--seconds S | --iterations N] --json FILE

Plans a neutral problem file (weekly, integers) and writes the answer as JSON:
cost, bound (no plan costs less; null when none was computed), starts and modes by task id, seconds.
The answer is checked by an independent checker before it is written.

  --seed N         seed of the search, default 1
  --seconds S      time to search, default 5
  --iterations N   search so many iterations instead: the same plan every time
  --json FILE      where the answer goes; - is standard output
  --help           this text

Exit code: 0 done, 1 problems found, 2 wrong usage.
`;

/** `solve`: plans a problem file. Returns the exit code. */
export async function solveVerb(args: string[]): Promise<number> {
  try {
    const call = readCall(args);
    if (call === null) {
      process.stdout.write(solveHelp);
      return exitDone;
    }
    return await solve(call);
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    process.stderr.write(`${error.message}\n\n${solveHelp}`);
    return exitUsage;
  }
}

interface SolveCall {
  file: string;
  jsonFile: string;
  limits: SearchLimits;
}

function readCall(args: string[]): SolveCall | null {
  const names = ['seed', 'seconds', 'iterations', 'json'];
  const { values, flags, files } = readArguments(args, names, ['help']);
  if (flags.has('help')) return null;
  const [file, ...more] = files;
  if (!file || more.length > 0) throw new UsageError('Give one problem file.');
  const seed = readNumber(values, 'seed', { least: 0, most: 4_294_967_295, whole: true }) ?? 1;
  const seconds = readNumber(values, 'seconds', { least: 0.1, most: 86_400 });
  const iterations = readNumber(values, 'iterations', { least: 1, most: 1e9, whole: true });
  if (seconds !== null && iterations !== null)
    throw new UsageError('Give --seconds or --iterations, not both.');
  const limits = iterations === null ? { seed, seconds: seconds ?? 5 } : { seed, iterations };
  return { file, jsonFile: readRequired(values, 'json'), limits };
}

async function solve({ file, jsonFile, limits }: SolveCall): Promise<number> {
  const text = readText(file);
  const problem = text.ok ? parseProblemFile(text.value) : text;
  if (!problem.ok) {
    printProblems(problem.problems);
    return exitProblems;
  }
  let result: SearchResult;
  try {
    result = await startSearch(modelOf(problem.value), limits).result;
  } catch (error) {
    return fail('search-failed', error);
  }
  if (result.end === 'broken')
    process.stderr.write('The search ended early; this is the best plan it had found.\n');
  return writeAnswer(problem.value, jsonFile, {
    ...answerOf(problem.value, result.solution, Math.round(result.seconds * 1000) / 1000),
    bound: result.bound,
  });
}

function writeAnswer(problem: ProblemFile, jsonFile: string, answer: ProblemAnswer): number {
  const problems = checkProblemAnswer(problem, answer);
  if (problems.length > 0) {
    process.stderr.write('The plan breaks rules of the file and is not written:\n');
    printProblems(problems);
    return exitProblems;
  }
  try {
    writeJson(jsonFile, answer);
  } catch (error) {
    return fail('not-written', error);
  }
  return exitDone;
}

function readText(file: string): Outcome<string> {
  try {
    const bytes = readFileSync(file);
    const isGzip = bytes[0] === 0x1f && bytes[1] === 0x8b;
    return { ok: true, value: (isGzip ? gunzipSync(bytes) : bytes).toString('utf8') };
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    const message = `${file} cannot be read (${reason}). Name a problem file, plain or .gz.`;
    return { ok: false, problems: [{ code: 'not-readable', message }] };
  }
}

function fail(code: string, error: unknown): number {
  printProblems([{ code, message: error instanceof Error ? error.message : String(error) }]);
  return exitProblems;
}
