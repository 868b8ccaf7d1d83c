import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { getPage } from '../support/page.ts';

const depsWith = () => {
  const operation = fakeOperation();
  operation.treatments[0]!.name = '=Fell cedar';
  operation.entries = [
    fakeEntry(1, 1, 'cedar-felling', '2026-11-03', {
      areaAcres: 4,
      crewDays: 2,
      outcome: 'partly',
    }),
    fakeEntry(2, 1, 'cedar-felling', '2026-11-04', { outcome: 'partly', crewDays: 1 }),
    fakeEntry(3, 1, 'dormant-burn', '2024-03-01'),
  ];
  return fakeDeps({ operation });
};

describe('planned and done', () => {
  it('shows a season by treatment and month, with the bars named', async () => {
    const { status, root } = await getPage(buildApp(depsWith()), '/planned-and-done');
    expect(status).toBe(200);
    const main = root.querySelector('main')?.textContent.replace(/\s+/g, ' ') ?? '';
    expect(main).toContain('Burning season 2026-27');
    expect(main).toContain('1 entry done in part without acres');
    const titles = root.querySelectorAll('rect.done title').map((one) => one.textContent);
    expect(titles).toEqual(['Nov, done: 4 acres, 3 crew days']);
    const row = root.querySelectorAll('tbody tr').find((one) => one.textContent.includes('=Fell'));
    expect(row?.querySelector('td[data-label="Nov"]')?.textContent).toMatch(/ \/ 4$/);
    expect(row?.querySelector('td[data-label="Season, crew days"]')?.textContent).toMatch(/ \/ 3$/);
  });

  it('leads to other seasons, those with entries among them', async () => {
    const { root } = await getPage(buildApp(depsWith()), '/planned-and-done?season=2023');
    const links = root.querySelectorAll('.filters a').map((one) => one.textContent);
    expect(links).toEqual(['2026-27', '2027-28', '2028-29']);
    expect(root.querySelector('.filters strong')?.textContent).toBe('2023-24');
    expect(root.querySelector('rect.done')).toBeNull();
    expect(root.querySelector('tbody')?.textContent).toContain('Dormant-season burn');
  });

  it.each(['?season=1850x', '?season=<b>', ''])(
    'takes %s for the present season',
    async (query) => {
      const { root } = await getPage(buildApp(depsWith()), `/planned-and-done${query}`);
      expect(root.querySelector('.filters strong')?.textContent).toBe('2026-27');
    },
  );

  it('says what to do where nothing is', async () => {
    const { root } = await getPage(buildApp(depsWith()), '/planned-and-done?season=1900');
    expect(root.querySelector('.note')?.textContent).toContain('Nothing is planned in this season');
  });

  it('is a table, too, in which no cell is a formula', async () => {
    const answer = await buildApp(depsWith()).inject({
      url: '/planned-and-done.csv?season=2026',
      headers: { host: 'localhost' },
    });
    const lines = answer.body.trim().split('\r\n');
    expect(lines[0]).toMatch(/^season,month,treatment,/);
    const felled = lines.find((line) => line.startsWith("2026-27,11,'=Fell cedar,"));
    expect(felled).toMatch(/,4,3$/);
  });
});
