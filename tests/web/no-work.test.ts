import { describe, expect, it } from 'vitest';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import type { NoWorkSpan } from '../../src/core/no-work.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { getPage } from '../support/page.ts';

const rule = (key: string, own: Partial<NoWorkSpan>): NoWorkSpan => ({
  key,
  name: key,
  state: 'MO',
  propertyId: null,
  reason: 'nests',
  authority: 'law',
  firmness: 'hard',
  opens: { at: monthDay('03-15') },
  closes: { at: monthDay('06-30') },
  asOf: '2024',
  status: 'default-to-edit',
  source: '',
  applies: {
    families: null,
    treatmentKeys: null,
    unitTags: [],
    stemInchesOver: null,
    speciesGroups: [],
    contractFrom: null,
    contractTo: null,
  },
  ...own,
});

function land() {
  const operation = fakeOperation();
  return {
    ...operation,
    properties: operation.properties.map((one) => ({ ...one, state: 'MO' })),
    noWork: [
      rule('in-missouri', {}),
      rule('in-iowa', { state: 'IA' }),
      rule('lease-7', {
        state: null,
        propertyId: 1,
        name: 'Hunting lease of a club',
        firmness: 'ask-first',
        authority: 'contract',
        opens: { at: monthDay('11-10') },
        closes: { at: monthDay('11-30') },
        madeFrom: { noun: 'lease', id: 7 },
      }),
    ],
    approvals: [
      {
        noWorkKey: 'lease-7',
        unitId: 1,
        from: isoDate('2026-11-10'),
        until: isoDate('2026-11-12'),
        grantedBy: 'the club',
      },
    ],
  };
}

const page = (query: string, operation = land()) =>
  getPage(buildApp(fakeDeps({ operation })), `/no-work${query}`);

describe('the page of no-work dates', () => {
  it.each([
    ['', ['in-missouri', 'Hunting lease of a club']],
    ['?state=MO', ['in-missouri', 'Hunting lease of a club']],
    ['?state=IA', ['in-iowa']],
    ['?state=all', ['in-missouri', 'in-iowa', 'Hunting lease of a club']],
    ['?state=%3Cb%3E', []],
  ])('%s', async (query, expected) => {
    const { root } = await page(query);
    const named = root.querySelectorAll('section[aria-labelledby="rules"] tbody th');
    expect(named.map((one) => one.textContent.trim())).toEqual(expected);
  });

  it('leads from a derived span to its row', async () => {
    const { root } = await page('');
    const paths = root.querySelectorAll('tbody th a').map((one) => one.getAttribute('href'));
    expect(paths).toEqual(['/records/no-work/in-missouri', '/records/leases/7']);
  });

  it('says the year of a unit and a treatment in words and in the picture', async () => {
    const { root, text } = await page('?unit=1&treatment=cedar-felling');
    const said =
      'Open 1 Oct to 12 Nov and 1 Dec to 14 Mar; barred 15 Mar to 30 Jun by in-missouri (law); ask first 13 to 30 Nov: Hunting lease of a club (contract); lifted 10 to 12 Nov: Hunting lease of a club, granted by the club.';
    expect(text).toContain(said);
    expect(root.querySelector('svg.open-strip')?.getAttribute('aria-label')).toContain(
      'Open 1 Oct',
    );
    expect(root.querySelectorAll('.open-strip .barred')).toHaveLength(1);
    expect(root.querySelectorAll('.open-strip .ask')).toHaveLength(1);
    expect(root.querySelector('a[href="/records/approvals/new"]')).not.toBeNull();
    expect(text).toContain('10 to 12 Nov 2026, granted by the club');
    expect(text).toContain('the person in charge on the day decide');
  });

  it.each(['?unit=999&treatment=cedar-felling', '?unit=1&treatment=none', '?unit=1'])(
    '%s shows no strip',
    async (query) => {
      const { status, root } = await page(query);
      expect([status, root.querySelector('.open-strip')]).toEqual([200, null]);
    },
  );

  it('says what to do next where no rule or no land is on file', async () => {
    const { text } = await page('', { ...land(), noWork: [], units: [] });
    expect(text).toContain('No units yet.');
    expect(text).toContain('No rule for these states is on file.');
  });

  it("stands on the unit's page for the treatments still to come", async () => {
    const { root } = await getPage(buildApp(fakeDeps({ operation: land() })), '/units/2');
    const rows = root.querySelectorAll('section[aria-labelledby="open"] tbody tr');
    expect(rows.length).toBeGreaterThan(1);
    for (const row of rows)
      expect(row.querySelector('svg')?.getAttribute('aria-label')).toBeTruthy();
    expect(rows[0]?.textContent).toContain('barred');
  });
});
