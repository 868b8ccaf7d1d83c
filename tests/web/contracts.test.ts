import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeEntry } from '../support/operation.ts';
import { getPage } from '../support/page.ts';
import { wholeOperation } from '../support/record-rows.ts';

const depsOf = (change: (operation: ReturnType<typeof wholeOperation>) => void = () => {}) => {
  const operation = wholeOperation();
  change(operation);
  return fakeDeps({ operation });
};

const textOf = async (url: string, deps = depsOf()) => {
  const { root } = await getPage(buildApp(deps), url);
  return root.querySelector('main')?.textContent.replace(/\s+/g, ' ') ?? '';
};

describe('cost-share contracts', () => {
  it('are listed with their next day and lead to the summary', async () => {
    const { root } = await getPage(buildApp(depsOf()), '/contracts');
    const link = root.querySelector('tbody th a');
    expect(link?.getAttribute('href')).toBe('/contracts/1');
    expect(root.querySelector('tbody')?.textContent).toContain('20 Aug 2027, first practice due');
  });

  it('say what to do first where there is none', async () =>
    expect(
      await textOf(
        '/contracts',
        depsOf((it) => {
          it.contracts.length = 0;
        }),
      ),
    ).toContain('Enter one from its paper'));

  it('show contract acres beside unit acres, work before the approval, and defer to the office', async () => {
    const deps = depsOf((operation) => {
      operation.entries = [
        fakeEntry(1, 1, 'cedar-felling', '2026-08-01', { areaAcres: 2 }),
        fakeEntry(2, 1, 'cedar-felling', '2026-09-01', { areaAcres: 12 }),
      ];
    });
    const said = await textOf('/contracts/1', deps);
    expect(said).toContain('314 Brush management');
    expect(said).toMatch(/Work before the approval.*Fell cedar on N1, practice 314: 1 Aug 2026/);
    expect(said).toContain('$2,526 at $210.50 an acre'.replace('$210.50', '$211'));
    expect(said).toContain('Ask the office before you start');
    expect(said).toContain('18.5');
  });

  it('flag planned work while there is no approval', async () => {
    const deps = depsOf((operation) => {
      operation.contracts[0] = { ...operation.contracts[0]!, approvedOn: null };
    });
    expect(await textOf('/contracts/1', deps)).toContain('before the approval: ask the office');
  });

  it('go to the office as a table in which no cell is a formula', async () => {
    const deps = depsOf((operation) => {
      operation.contracts[0] = { ...operation.contracts[0]!, program: '=1+2' };
    });
    const answer = await buildApp(deps).inject({
      url: '/contracts/1/summary.csv',
      headers: { host: 'localhost' },
    });
    expect(answer.headers['content-type']).toContain('text/csv');
    const lines = answer.body.trim().split('\r\n');
    expect(lines[0]).toMatch(/^program,contract,property,/);
    expect(lines.length).toBe(1 + 3 + 2);
    expect(lines.slice(1).every((line) => line.startsWith("'=1+2,"))).toBe(true);
  });

  it.each(['/contracts/99', '/contracts/x', '/contracts/99/summary.csv'])(
    '%s is not there',
    async (url) => {
      const answer = await buildApp(depsOf()).inject({ url, headers: { host: 'localhost' } });
      expect(answer.statusCode).toBe(404);
    },
  );

  it('stand on Today when a day comes near', async () => {
    const deps = depsOf((operation) => {
      const soon = { firstPracticeDueOn: isoDate('2026-12-20') };
      operation.contracts[0] = { ...operation.contracts[0]!, ...soon };
    });
    expect(await textOf('/', deps)).toContain(
      'Savanna share 26-104: first practice due 20 Dec 2026',
    );
  });
});

describe('an entry of work before the approval', () => {
  const deps = () =>
    depsOf((operation) => {
      operation.entries = [fakeEntry(1, 1, 'cedar-felling', '2026-08-01', { areaAcres: 2 })];
    });

  it.each(['/units/1', '/worklog', '/worklog/1'])('is flagged on %s', async (url) =>
    expect(await textOf(url, deps())).toContain(
      'Practice 314: this work began before the approval of Savanna share 26-104 on 20 Aug 2026. Ask the office whether it counts.',
    ),
  );
});
