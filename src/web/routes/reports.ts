import type { FastifyInstance } from 'fastify';
import Type from 'typebox';
import type { Deps } from '../deps.ts';
import {
  changedMeanwhile,
  type Form,
  idOf,
  postForm,
  refusalStatus,
  seeOther,
} from '../forms/form.ts';
import { renderPane } from '../htmx.ts';
import { ledgerPage } from '../pages/ledger.ts';
import { letterQuery, lettersOf, ownerLetterPage } from '../pages/owner-letter.ts';
import { reportsPage } from '../pages/reports.ts';
import { seasonQuery, seasonReportPage, seasonTable } from '../pages/season-report.ts';

type Query = Record<string, string | undefined>;

const text = Type.String({ maxLength: 1500 });
const wordsSchema = Type.Object(
  {
    owner: Type.String(),
    season: Type.String(),
    when: Type.String(),
    greeting: text,
    closing: text,
  },
  { additionalProperties: false },
);

/** Words of the office around a letter; the other fields say which letter was open. */
const wordsForm: Form<typeof wordsSchema> = {
  schema: wordsSchema,
  labels: { greeting: 'Greeting', closing: 'Closing' },
};

function registerLetter(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/reports/letter', async (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'reports/letter' },
      ownerLetterPage(deps, letterQuery(request.query)),
    ),
  );
  postForm(app, '/reports/letter', wordsForm, async (submission, request, reply) => {
    const query = letterQuery(request.typed);
    const kept = lettersOf(deps.operation(), query.owner);
    const { path } = ownerLetterPage(deps, query);
    const stored = { greeting: kept.greeting, closing: kept.closing };
    let { problems } = submission.form;
    if (submission.ok) problems = changedMeanwhile(request, stored, wordsForm.labels);
    if (submission.ok && problems.length === 0) {
      const { greeting, closing } = submission.values;
      const row = { ...kept, greeting: greeting.trim(), closing: closing.trim() };
      const answer = deps.records.save('ownerLetter', row, kept.id === 0, true);
      if (answer.kind === 'saved') return seeOther(reply, path);
      problems = answer.problems;
    }
    reply.code(refusalStatus(problems));
    const form = { ...submission.form, problems, stored };
    return renderPane(
      request,
      reply,
      { page: 'reports/letter' },
      ownerLetterPage(deps, query, form),
    );
  });
}

/** `/reports`: the season in figures and as a table, letters to landowners; `/units/:id/ledger`. */
export function registerReports(app: FastifyInstance, deps: Deps): void {
  app.get('/reports', async (request, reply) =>
    renderPane(request, reply, { page: 'reports/list' }, reportsPage(deps)),
  );
  app.get<{ Querystring: Query }>('/reports/season', async (request, reply) =>
    renderPane(
      request,
      reply,
      { page: 'reports/season' },
      seasonReportPage(deps, seasonQuery(deps, request.query)),
    ),
  );
  app.get<{ Querystring: Query }>('/reports/season.csv', async (request, reply) => {
    const query = seasonQuery(deps, request.query);
    return reply
      .header('content-disposition', `attachment; filename="season-${query.season}.csv"`)
      .header('cache-control', 'private, no-store')
      .type('text/csv; charset=utf-8')
      .send(deps.files.csvText(seasonTable(deps, query)));
  });
  registerLetter(app, deps);
  app.get('/units/:id/ledger', async (request, reply) =>
    renderPane(request, reply, { page: 'reports/ledger' }, ledgerPage(deps, idOf(request))),
  );
}
