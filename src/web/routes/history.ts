import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { type HistoryEntry, isOfOneRow } from '../../core/history-import.ts';
import type { Problem } from '../../core/problems.ts';
import { noWorkInside } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { readUpload } from '../forms/upload.ts';
import { renderPane } from '../htmx.ts';
import { digestOf, type HistoryForm, historyPage, historyRows } from '../pages/history.ts';
import { count, list } from '../words.ts';

const choicePrefix = 'choice-';
const template = { page: 'history/show' };

/** The form as sent; `what` is the button. */
async function readForm(request: FastifyRequest): Promise<{ sent: HistoryForm; what: string }> {
  const { fields, text } = await readUpload(request);
  const choices = Object.fromEntries(
    Object.entries(fields)
      .filter(([name]) => name.startsWith(choicePrefix))
      .map(([name, value]) => [name.slice(choicePrefix.length), value]),
  );
  // Answers to single rows are of no use once the rows are others.
  if (fields['of'] !== digestOf(text))
    for (const key of Object.keys(choices)) if (isOfOneRow(key)) delete choices[key];
  const noWorkReason = (fields['noWorkReason'] ?? '').trim().slice(0, 300);
  const sent = { text, propertyId: fields['propertyId'] ?? '', choices, noWorkReason };
  return { sent, what: fields['do'] ?? 'read' };
}

/** Old work inside no-work dates is asked about once for the table; the answer is kept with each such entry. */
function noWorkProblems(deps: Deps, entries: readonly HistoryEntry[]): Problem[] {
  const operation = deps.operation();
  const spans = entries.map((entry) => noWorkInside(operation, entry));
  const inside = spans.filter((rules) => rules.length > 0).length;
  if (inside === 0) return [];
  const names = [...new Set(spans.flat().map(({ name }) => name))];
  const message = `${count(inside, 'row')} ${inside === 1 ? 'lies' : 'lie'} inside no-work dates: ${list(names)}. Write who approved it, or why it was done all the same; it is kept with them.`;
  return [{ code: 'no-work', field: 'noWorkReason', message }];
}

function takeProblems(
  deps: Deps,
  read: ReturnType<typeof historyRows>,
  what: string,
  noWorkReason: string,
): Problem[] {
  const unclear = read.rows.filter(({ state }) => state === 'unclear').length;
  if (what === 'take' && unclear > 0)
    return [
      {
        code: 'unclear-rows',
        message: `${count(unclear, 'row')} ${unclear === 1 ? 'is' : 'are'} unclear: answer what is asked beside them, or leave them out.`,
      },
    ];
  const entries = read.rows.flatMap(({ entry }) => entry ?? []);
  if (entries.length === 0)
    return [{ code: 'nothing-clear', message: 'No row is clear, so there is nothing to take in.' }];
  const asked = noWorkReason === '' ? noWorkProblems(deps, entries) : [];
  return asked.length > 0 ? asked : deps.files.takeHistory(entries, noWorkReason);
}

async function answer(deps: Deps, request: FastifyRequest, reply: FastifyReply) {
  const { sent, what } = await readForm(request);
  const read = historyRows(deps, sent);
  if (read.problems.length > 0 || what === 'read') {
    if (read.problems.length > 0) reply.code(422);
    return renderPane(request, reply, template, historyPage(deps, sent, read));
  }
  const problems = takeProblems(deps, read, what, sent.noWorkReason);
  if (problems.length > 0) {
    reply.code(422);
    return renderPane(request, reply, template, historyPage(deps, sent, { ...read, problems }));
  }
  const taken = read.rows.filter(({ state }) => state === 'clear').length;
  const rows = read.rows.filter(({ state }) => state !== 'clear');
  return renderPane(request, reply, template, historyPage(deps, sent, { ...read, rows, taken }));
}

/** `/history`: old fires and work from a table, read row by row before anything is saved. */
export function registerHistory(app: FastifyInstance, deps: Deps): void {
  app.get('/history', async (request, reply) =>
    renderPane(request, reply, template, historyPage(deps, null, null)),
  );
  app.post('/history', (request, reply) => answer(deps, request, reply));
}
