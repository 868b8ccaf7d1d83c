import ICAL from 'ical.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { lintFeed } from '../feeds/lint.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { feedServer } from '../support/feed-server.ts';
import { getPage } from '../support/page.ts';

const server = feedServer();
beforeAll(() => server.adopt(server.tasks()));
afterAll(async () => {
  await server.app.close();
  server.file.close();
});

const fellKey = 'unit:5/cedar-woodland/fell/1/-';
const summaries = (text: string) =>
  new ICAL.Component(ICAL.parse(text) as unknown[])
    .getAllSubcomponents('vevent')
    .map((part) => String(part.getFirstPropertyValue('summary')));

describe('calendar files', () => {
  it('of a task: its entry alone, to import once', async () => {
    const answer = await server.get(`/calendar/task.ics?key=${encodeURIComponent(fellKey)}`);
    expect(answer.headers['content-type']).toBe('text/calendar; charset=utf-8');
    expect(answer.headers['content-disposition']).toBe('attachment; filename="task.ics"');
    expect(summaries(answer.body)).toEqual(['TENTATIVE: S2 Post oak bench: fell cedar']);
    expect(lintFeed(answer.rawPayload)).toEqual([]);
  });

  it('of a season: what touches it, nothing of another one, no cancelled work', async () => {
    const answer = await server.get('/calendar/season.ics?season=2026');
    expect(lintFeed(answer.rawPayload)).toEqual([]);
    expect(summaries(answer.body)).toContain('TENTATIVE: S2 Post oak bench: fell cedar');
    expect(answer.body).not.toMatch(/CANCELLED|SOURCE|About this feed/);
    const days = [...answer.body.matchAll(/DTSTART;VALUE=DATE:(\d{8})/g)].map(
      (one) => one[1] ?? '',
    );
    expect(days.every((day) => day >= '20260701' && day < '20270701')).toBe(true);
  });

  it.each([
    '/calendar/task.ics?key=unit:5/none',
    '/calendar/task.ics',
    '/calendar/season.ics?season=1999',
    '/calendar/season.ics?season=x',
  ])('%s is a page that says there is nothing', async (path) => {
    const answer = await server.get(path);
    expect(answer.statusCode).toBe(404);
    expect(answer.headers['content-type']).toContain('text/html');
  });

  it('the plan as a table', async () => {
    const answer = await server.get('/calendar/plan.csv');
    expect(answer.headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(answer.body).toContain('Fell cedar,cut,2026-11-30,2026-12-18,no,');
  });

  it('a unit’s page leads to the file of each planned task', async () => {
    const page = await getPage(server.app, '/units/5');
    const links = page.root.querySelectorAll('a[href^="/calendar/task.ics"]');
    expect(links.length).toBeGreaterThan(0);
    for (const link of links)
      expect((await server.get(link.getAttribute('href') ?? '')).statusCode).toBe(200);
  });
});

describe('the year calendar to print', () => {
  it.each(['a4', 'letter'])(
    'on %s: four sheets of 13 weeks, each with its title block',
    async (paper) => {
      const page = await getPage(server.app, `/calendar/year?paper=${paper}`);
      expect(page.status).toBe(200);
      expect(page.root.querySelector(`link[href="/assets/paper-${paper}.css"]`)).not.toBeNull();
      const sheets = page.root.querySelectorAll('.sheet');
      expect(sheets.map((sheet) => sheet.querySelector('h2')?.textContent)).toEqual([
        'Work of the season 2026-27: 1 Jul to 29 Sep 2026',
        'Work of the season 2026-27: 30 Sep to 29 Dec 2026',
        'Work of the season 2026-27: 30 Dec 2026 to 30 Mar 2027',
        'Work of the season 2026-27: 31 Mar to 30 Jun 2027',
      ]);
      for (const sheet of sheets) {
        expect([13, 14]).toContain(sheet.querySelectorAll('tbody tr').length);
        expect(sheet.textContent).toMatch(/made 9 Nov 2026 · plan \d+, made 26 Oct 2026/);
        expect(sheet.textContent).toContain('The call for a burn comes by phone or text.');
      }
      expect(sheets[1]?.textContent).toContain('Firearms deer season');
      expect(sheets[1]?.textContent.replace(/\s+/g, ' ')).toContain(
        'C? S2 Post oak bench: fell cedar, 30 Nov to 18 Dec 2026',
      );
      expect(sheets[0]?.textContent).not.toContain('fell cedar');
    },
  );

  it('says a rule of two properties once', async () => {
    const deps = fakeDeps();
    for (const span of deps.state.operation.noWork) span.propertyId = null;
    const page = await getPage(buildApp(deps), '/calendar/year');
    expect(deps.state.operation.properties).toHaveLength(2);
    const fall = page.root.querySelectorAll('.sheet')[1]?.textContent ?? '';
    expect(fall.split('Firearms deer season')).toHaveLength(2);
  });

  it('names the paper in a style sheet that is there', async () => {
    for (const [paper, size] of [
      ['a4', 'A4'],
      ['letter', 'letter'],
    ])
      expect((await server.get(`/assets/paper-${paper}.css`)).body).toContain(`size: ${size};`);
    const other = await getPage(server.app, '/calendar/year?paper="><script>');
    expect(other.root.querySelector('link[href="/assets/paper-letter.css"]')).not.toBeNull();
  });
});
