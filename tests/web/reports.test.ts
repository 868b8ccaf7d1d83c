import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { csvText } from '../../src/exchange/csv-text.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';
import { fakePlan, fakeTask } from '../support/plan.ts';

const squeeze = (text: string | undefined) => (text ?? '').replace(/\s+/g, ' ').trim();

const detail = (entryId: number, moneyUsd: number) => ({
  ...{ entryId, moneyUsd, startedAt: null, endedAt: null, readings: [], photos: [] },
  gearHours: [{ gearKey: 'burn-trailer', hours: 8 }],
});

function reported() {
  const operation = fakeOperation();
  const entry = operation.entries.find(({ id }) => id === 5)!;
  Object.assign(entry, { personHours: 49, crewDays: 2, note: '=1+1' });
  const deps = fakeDeps({ operation });
  deps.worklog.details = () => [detail(5, 120)];
  deps.files.csvText = csvText;
  return deps;
}

describe('the season report', () => {
  it('sets what was done beside what was planned, with sums', async () => {
    const { root, text } = await getPage(buildApp(reported()), '/reports/season?season=2026');
    const rows = root
      .querySelectorAll('section[aria-labelledby="against"] tbody tr')
      .map((row) => squeeze(row.textContent));
    // By hand: 70 % of the 19 acres of E1; two burns of 22 and 31 acres planned from January on; 49 hours; $120.
    expect(rows.find((row) => row.startsWith('B '))).toContain('13.3');
    expect(rows.find((row) => row.startsWith('B '))).toContain('2 tasks, 53 acres');
    expect(rows.at(-1)).toMatch(/^All.*49.*\$120$/);
    expect(text).toContain('Burned13.3 acres');
    const months = root.querySelectorAll('section[aria-labelledby="months"] thead th');
    expect(months.map((one) => one.textContent).slice(1, 3)).toEqual(['Jul', 'Aug']);
    expect(text).toContain('No fit days are left in its burn season.');
    expect(root.querySelector('a[href="/reports/season.csv?season=2026"]')).not.toBeNull();
  });

  it('keeps to one property', async () => {
    const { root } = await getPage(buildApp(reported()), '/reports/season?season=2026&property=2');
    const fire = root.querySelector('section[aria-labelledby="fire"]')?.textContent;
    expect(squeeze(fire)).toContain('Burned0 acres');
  });

  it.each(['?season=26', '?property=9', '?property=x', '?season=1e9'])(
    '%s is not there',
    async (query) =>
      expect((await getPage(buildApp(reported()), `/reports/season${query}`)).status).toBe(404),
  );

  it('says what to do for a season without anything', async () => {
    const { text } = await getPage(buildApp(reported()), '/reports/season?season=1990');
    expect(text).toContain('Nothing was done or planned in this season');
  });

  it('comes as a table whose cells run no formula, with the same sums', async () => {
    const operation = fakeOperation();
    operation.entries = [
      {
        ...operation.entries[4]!,
        outcome: 'not-possible',
        reason: '=HYPERLINK("x")',
        taskKey: 'block:2/cedar-woodland/burn/1/-',
        unitId: 2,
      },
      { ...operation.entries[4]!, id: 99, areaAcres: 12.5, personHours: 4 },
    ];
    const deps = fakeDeps({ operation });
    deps.files.csvText = csvText;
    const { status, headers, root } = await getPage(
      buildApp(deps),
      '/reports/season.csv?season=2026',
    );
    const lines = root.textContent.split('\r\n').filter((line) => line !== '');
    expect([status, headers['content-type']]).toEqual([200, 'text/csv; charset=utf-8']);
    const columns = lines[0]!.split(',');
    const done = lines.find((line) => line.startsWith('done,Dormant-season burn'))!.split(',');
    expect(done[columns.indexOf('acres')]).toBe('12.5');
    expect(done[columns.indexOf('person_hours')]).toBe('4');
    expect(lines.some((line) => /(^|,)"?=/.test(line))).toBe(false);
    expect(lines.join('\n')).toContain("'=HYPERLINK");
    for (const line of lines.filter((one) => !one.includes('"')))
      expect(line.split(',')).toHaveLength(columns.length);
  });
});

/** Words of planning that a landowner has no use for. */
const plannersWords =
  /\b(lags?|cycles?|drafts?|crew days?|sequences?|plan in force|horizon|fit days?|burning seasons?|rotations?|intervals?|blocks?|tasks?|prescriptions?|readiness|overdue|tentative|units?|windows?|no-work|undefined|null|NaN)\b/i;

describe('the letter to a landowner', () => {
  const path = (when: string, season = 2026, owner = 1) =>
    `/reports/letter?owner=${owner}&season=${season}&when=${when}`;

  it('before: what, when if fit, what to see and to do, cost, and the years after', async () => {
    const operation = fakeOperation();
    operation.leases = [
      {
        ...{ id: 1, propertyId: 1, holder: 'Hunting club', contact: '', use: 'hunting' },
        ...{ unitIds: [], from: isoDate('2026-01-01'), until: null, barsFamilies: [] },
        ...{ opens: null, closes: null, firmness: 'ask-first', rule: 'call first' },
      },
    ];
    const later = fakeTask('block:5/cedar-woodland/burn/1/-', '2028-02-01', '2028-02-14', {
      ...{ treatmentKey: 'dormant-burn', family: 'burn', areaAcres: 44 },
    });
    const inForce = fakePlan();
    inForce.content.tasks.push(later);
    const { root } = await getPage(buildApp(fakeDeps({ operation, inForce })), path('before'));
    const letter = squeeze(root.querySelector('.letter')?.textContent);
    expect(letter).toContain('Dear Fernhill Land Trust,');
    expect(letter).toContain(
      'One day each in these weeks, when the weather is right: Dogtooth flat (N1), 22 acres, 11 to 24 Jan 2027;',
    );
    // By hand: 14 days of the contract crew at $1,450.
    expect(letter).toContain('about $20,300');
    expect(letter).toContain('Smoke for a day or two');
    expect(letter).toContain('Tell Hunting club (call first).');
    expect(letter).toContain('Move stands');
    expect(letter).toContain('Jul 2027 to Jun 2028: Dormant-season burn');
    expect(letter).not.toMatch(plannersWords);
  });

  it('holds nothing of the land of others', async () => {
    const { root } = await getPage(buildApp(reported()), path('before', 2026, 2));
    const letter = squeeze(root.querySelector('.letter')?.textContent);
    expect(letter).toContain('Lower Sedge');
    expect(letter).not.toMatch(/Fernhill|N1|N2|S2|120/);
  });

  it('after: what was done, what it cost, what slipped and why', async () => {
    const deps = reported();
    deps.state.today = isoDate('2027-07-10');
    const { root } = await getPage(buildApp(deps), path('after'));
    const letter = squeeze(root.querySelector('.letter')?.textContent);
    expect(letter).toContain('13.3 acres, 7 Nov 2026');
    expect(letter).toContain('Spent, as written down: $120');
    expect(letter).toContain('not done. Why: nobody wrote down why.');
    expect(letter).not.toMatch(plannersWords);
  });

  it('the reason of a burn that found no day is said in plain words', async () => {
    const deps = fakeDeps({ today: isoDate('2026-07-10') });
    const { root } = await getPage(buildApp(deps), path('after', 2025, 2));
    deps.state.inForce = fakePlan({ adoptedAt: '2026-01-01T00:00:00Z' });
    const again = await getPage(buildApp(deps), path('after', 2025, 2));
    expect(squeeze(root.querySelector('.letter')?.textContent)).toContain(
      'There was no plan for that season',
    );
    const letter = squeeze(again.root.querySelector('.letter')?.textContent);
    expect(letter).toContain('not in this season. Why: too few days had the right weather.');
  });

  it('keeps the words around it by landowner', async () => {
    const deps = reported();
    const app = buildApp(deps);
    const change = { greeting: 'Good day, neighbors', closing: '<b>Yours</b>' };
    const fields = fieldsOf(await getPage(app, path('before')), '/reports/letter', change);
    const { status, headers } = await sendForm(app, '/reports/letter', fields);
    expect([status, headers['location']]).toEqual([303, path('before')]);
    const row = { id: 0, landownerId: 1, ...change };
    expect(deps.calls).toEqual([{ name: 'records.save', args: ['ownerLetter', row, true, true] }]);
    deps.state.operation.ownerLetters = [{ ...row, id: 5 }];
    const { root } = await getPage(app, path('after'));
    expect(root.querySelectorAll('.own-words').map((one) => one.textContent)).toEqual([
      'Good day, neighbors',
      '<b>Yours</b>',
    ]);
    expect(root.querySelector('.own-words b')).toBeNull();
  });

  it('shows both versions when somebody else saved first', async () => {
    const deps = reported();
    const app = buildApp(deps);
    const fields = fieldsOf(await getPage(app, path('before')), '/reports/letter', {
      greeting: 'Mine',
    });
    deps.state.operation.ownerLetters = [
      { id: 5, landownerId: 1, greeting: 'Theirs', closing: '' },
    ];
    const page = await sendForm(app, '/reports/letter', fields);
    expect(page.status).toBe(409);
    expect(page.text).toContain('meanwhile somebody saved "Theirs", and you have "Mine"');
    expect(fieldsOf(page, '/reports/letter')['greeting']).toBe('Mine');
  });

  it.each([
    '?owner=9&season=2026&when=before',
    '?owner=1&season=2026',
    '?season=2026&when=after',
    '?owner=1&season=x&when=after',
  ])('%s is not there', async (query) =>
    expect((await getPage(buildApp(reported()), `/reports/letter${query}`)).status).toBe(404),
  );
});

describe('letters of the sample land', () => {
  const today = isoDate('2026-11-20');
  const { fitDayDefaults: _, weatherTables: __, yardsticks: ___, ...library } = loadLibrary();
  const operation = { ...sampleLand(today), ...library, fitDays: [] };
  it.each([
    ['before', 1, 2026],
    ['after', 1, 2025],
    ['before', 2, 2026],
    ['after', 2, 2025],
    ['after', 1, 2024],
  ])('%s, owner %d, %d: no word of planning, and one page long', async (when, owner, season) => {
    const app = buildApp(fakeDeps({ operation, inForce: null, today }));
    const { root } = await getPage(
      app,
      `/reports/letter?owner=${owner}&season=${season}&when=${when}`,
    );
    const letter = squeeze(root.querySelector('.letter')?.textContent);
    expect(letter).not.toMatch(plannersWords);
    expect(letter.length).toBeLessThan(5000);
  });
});

describe('the ledger of a unit', () => {
  it('holds facts, fires with their gaps, work with money, and what is next, newest first', async () => {
    const operation = fakeOperation();
    const [fire] = operation.entries;
    operation.entries.push({
      ...fire!,
      id: 50,
      doneOn: isoDate('2026-03-02'),
      shareBlackPercent: 40,
    });
    const deps = fakeDeps({ operation });
    deps.worklog.details = () => [detail(1, 75)];
    const { root, text } = await getPage(buildApp(deps), '/units/1/ledger');
    const fires = root
      .querySelectorAll('section[aria-labelledby="fires"] tbody tr')
      .map((row) => squeeze(row.textContent));
    // 15 June 2023 to 2 March 2026 are 991 days, 2.7 years.
    expect(fires[0]).toBe('2 Mar 202640 %planned2.7 yrtoo little black to count');
    expect(fires[1]).toContain('not noted');
    const days = root
      .querySelectorAll('section[aria-labelledby="all"] tbody th')
      .map((one) => squeeze(one.textContent));
    expect(days).toEqual(['2 Mar 2026', '15 Jun 2023']);
    expect(text).toContain('$75');
    expect(text).toContain('11 to 24 Jan 2027, one day when fit');
    expect(text).toContain('Acres as planned by22');
  });

  it('is not there for an unknown unit', async () =>
    expect((await getPage(buildApp(fakeDeps()), '/units/99/ledger')).status).toBe(404));
});

it('the page of reports leads to each, and More to it', async () => {
  const app = buildApp(reported());
  const { root } = await getPage(app, '/reports');
  const links = root.querySelectorAll('main a').map((one) => one.getAttribute('href'));
  expect(links).toContain('/reports/season?season=2026');
  expect(links).toContain('/reports/season?season=2025&amp;property=1'.replace('&amp;', '&'));
  expect(links).toContain('/reports/letter?owner=2&season=2026&when=before');
  expect(links).toContain('/units/8/ledger');
  const more = await getPage(app, '/more');
  expect(more.root.querySelector('a[href="/reports"]')).not.toBeNull();
  const none = fakeDeps({
    operation: { ...fakeOperation(), properties: [], units: [], landowners: [] },
  });
  expect((await getPage(buildApp(none), '/reports')).text).toContain('There is no land yet');
});
