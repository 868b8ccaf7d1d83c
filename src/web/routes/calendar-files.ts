import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Deps } from '../deps.ts';
import { renderPane } from '../htmx.ts';
import { printYearPage } from '../pages/print-year.ts';
import { PageError } from '../plugins/errors.ts';
import { baseUrlOf } from '../plugins/security.ts';

type Query = Record<string, string | string[] | undefined>;

function sendFile(reply: FastifyReply, type: string, fileName: string, text: string): FastifyReply {
  return reply
    .header('cache-control', 'private, no-cache')
    .header('content-disposition', `attachment; filename="${fileName}"`)
    .type(type)
    .send(text);
}

const calendarType = 'text/calendar; charset=utf-8';

/** `/calendar/*`: files to import once, the plan as a table, and the year calendar to print. */
export function registerCalendarFiles(app: FastifyInstance, deps: Deps): void {
  app.get<{ Querystring: Query }>('/calendar/task.ics', async (request, reply) => {
    const text = deps.feeds.taskFile(String(request.query['key'] ?? ''), baseUrlOf(request));
    if (text === null) throw new PageError(404, 'No entry stands in the calendar for this task.');
    return sendFile(reply, calendarType, 'task.ics', text);
  });
  app.get<{ Querystring: Query }>('/calendar/season.ics', async (request, reply) => {
    const typed = String(request.query['season'] ?? '');
    if (!/^[12]\d{3}$/.test(typed)) throw new PageError(404, 'There is no such season.');
    const text = deps.feeds.seasonFile(Number(typed), baseUrlOf(request));
    if (text === null) throw new PageError(404, 'Nothing is planned in this season.');
    return sendFile(reply, calendarType, `season-${typed}.ics`, text);
  });
  app.get('/calendar/plan.csv', async (_request, reply) =>
    sendFile(reply, 'text/csv; charset=utf-8', 'plan.csv', deps.feeds.planTable()),
  );
  app.get<{ Querystring: Query }>('/calendar/year', async (request, reply) => {
    const page = printYearPage(deps, String(request.query['paper'] ?? ''));
    return renderPane(request, reply, { page: 'calendar/year' }, page);
  });
}
