import { readFileSync, statSync } from 'node:fs';
import {
  type HistoryChoices,
  type HistoryRow,
  leaveOut,
  readHistory,
} from '../core/history-import.ts';
import { readHistoryTable } from '../exchange/csv-history.ts';
import { unitFileBytesMost } from '../exchange/unit-file.ts';
import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readRequired,
  readToday,
  UsageError,
  type Verb,
} from './arguments.ts';
import { openPresentFile } from './operation-file.ts';
import { propertyNamed } from './property-named.ts';
import { webFiles } from './web-files.ts';

function readAnswers(path: string | undefined): HistoryChoices {
  if (path === undefined) return {};
  let answers: unknown;
  try {
    answers = JSON.parse(readFileSync(path, 'utf8'));
  } catch {
    throw new UsageError(`--answers takes a JSON file such as {"order": "month-first"}.`);
  }
  const isPlain =
    typeof answers === 'object' &&
    answers !== null &&
    Object.values(answers).every((value) => typeof value === 'string');
  if (!isPlain) throw new UsageError('--answers: each answer has to be text.');
  return answers as HistoryChoices;
}

function rowText(row: HistoryRow): string {
  const place = `row ${row.line}${row.part > 1 ? `, date ${row.part}` : ''}`;
  if (row.state === 'clear') return `${place}: ${row.meaning}\n`;
  const state = row.state === 'unclear' ? 'UNCLEAR' : 'left out';
  return `${place}: ${state}: ${row.meaning}. ${row.why}\n`;
}

/** Open questions, each once, with its key and the answers that can be given. */
function questionsText(rows: readonly HistoryRow[]): string {
  const open = rows.flatMap(({ questions }) => questions).filter(({ chosen }) => chosen === '');
  const byKey = new Map(open.map((question) => [question.key, question]));
  return [...byKey.values()]
    .map(({ key, text, options }) => {
      const answers = options.map((option) => `${option.key} (${option.name})`).join('; ');
      return `"${key}": ${text} Answers: ${answers}.\n`;
    })
    .join('');
}

function report(rows: readonly HistoryRow[]): string {
  const count = (state: HistoryRow['state']) => rows.filter((row) => row.state === state).length;
  const counts = `${count('clear')} rows clear, ${count('unclear')} unclear, ${count('left-out')} left out.\n`;
  return `${rows.map(rowText).join('')}${counts}${questionsText(rows)}`;
}

async function run(args: string[]): Promise<number> {
  const { values, flags, files } = readArguments(
    args,
    ['db', 'property', 'answers', 'today'],
    ['take', 'leave-out-unclear'],
  );
  const path = readRequired(values, 'db');
  const [tableFile] = files;
  if (!tableFile || files.length > 1) throw new UsageError('Name one table, a CSV file.');
  const answers = readAnswers(values['answers']);
  if (statSync(tableFile).size > unitFileBytesMost) {
    printProblems([{ code: 'file-too-large', message: 'The file is over 20 MB: split it.' }]);
    return exitProblems;
  }
  const file = openPresentFile(path, readToday(values));
  try {
    const name = values['property'];
    const property = name === undefined ? null : propertyNamed(file, name);
    const table = readHistoryTable(readFileSync(tableFile, 'utf8'));
    if (!table.ok) {
      printProblems(table.problems);
      return exitProblems;
    }
    printProblems(table.value.notes);
    const operation = file.operation();
    const rows = readHistory(
      table.value.rows,
      operation,
      property?.id ?? null,
      file.today(property?.timeZone),
      answers,
    );
    process.stdout.write(report(rows));
    const isUnclear = rows.some(({ state }) => state === 'unclear');
    if (isUnclear && !flags.has('leave-out-unclear')) return exitProblems;
    if (!flags.has('take')) return exitDone;
    const entries = rows.flatMap(({ entry }) => entry ?? []);
    const problems = webFiles(file).takeHistory(entries, '');
    printProblems(problems);
    if (problems.length > 0) return exitProblems;
    process.stdout.write(`Entries taken in: ${entries.length}.\n`);
    return exitDone;
  } finally {
    file.close();
  }
}

export const importHistoryVerb: Verb = {
  name: 'import-history',
  summary: 'read old fires and work from a table, and say what each row means',
  help: `
Usage: node dist/cli/main.js import-history --db FILE [options] TABLE

  --db FILE             the database
  --property NAME       name (or number) of the property whose units are meant; default: all
  --answers FILE        JSON: answers by the key of the question, such as
                        {"order": "month-first", "unit:n44": "${leaveOut}"}
  --take                put the clear rows into the work log, all or none
  --leave-out-unclear   take them though other rows are unclear
  --today YYYY-MM-DD    another today
  TABLE                 CSV with the columns unit, date, work, share_black, cause, acres, note
Without --take nothing is saved. Unclear rows end with exit code 1.
`,
  run,
};
