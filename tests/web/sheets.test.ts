import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { feedServer } from '../support/feed-server.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

const felling = '/sheets/unit%3A5/cedar-woodland/fell/1/-';
const burnDeps = () => {
  const deps = fakeDeps();
  const burn = deps.state.inForce?.content.tasks.find(({ family }) => family === 'burn');
  if (!burn) throw new Error('the invented plan has no burn');
  return { deps, burn };
};
const path = (key: string) => `/sheets/${key.split('/').map(encodeURIComponent).join('/')}`;

describe('the sheet of a task', () => {
  it('says where, what, when, who, how fast, and what to mind', async () => {
    const deps = fakeDeps();
    const rate = { scattered: 2, moderate: 0.7, dense: 0.25, thicket: 0.1 };
    const treatment = deps.state.operation.treatments.find(({ key }) => key === 'cedar-felling')!;
    treatment.rate = { ...treatment.rate, per: 'person-day', amount: rate };
    const { status, root, text } = await getPage(buildApp(deps), felling);
    expect(status).toBe(200);
    expect(root.querySelectorAll('.task-sheet')).toHaveLength(1);
    for (const words of [
      'S2 Post oak bench',
      'Cut below the lowest green limb so that nothing green is left on the stump.',
      '30 Nov to 18 Dec 2026',
      'Nobody fells alone.',
      'First come: the trained sawyer in charge',
      'Fernhill Land Trust, landowner: office at the gate',
      // A person-day times the three people of the crew.
      '0.7 acres a person-day at moderate density; 3 people: 2.1 acres a day; 44 acres',
      'Plan only',
      'Notes',
    ])
      expect(text).toContain(words);
    expect(root.querySelector('.land-map svg .scale-words')?.textContent).toMatch(/feet|mile/);
  });

  it('draws the unit, what lies around it, lines with their numbers, and places', async () => {
    const { deps, burn } = burnDeps();
    const unit = deps.state.operation.units.find(({ blockId }) => blockId === burn.blockId)!;
    const [west = 0, south = 0] = (unit.boundary!.coordinates as number[][][])[0]?.[0] ?? [];
    deps.state.operation.lines = [
      {
        id: 1,
        propertyId: 1,
        name: 'North line',
        kind: 'blown',
        lengthFeet: 2400,
        widthFeet: 8,
        unitIds: [unit.id],
        readyOn: isoDate('2026-11-01'),
        goodUntil: isoDate('2026-11-08'),
        path: [
          [
            [west, south],
            [west + 0.002, south],
            [west + 0.004, south],
          ],
        ],
      },
    ];
    deps.state.operation.points = [
      {
        id: 1,
        propertyId: 1,
        name: 'Fox den',
        kind: 'den',
        position: [west + 0.002, south + 0.002],
        unitIds: [unit.id],
        bufferFeet: 150,
        barsFamilies: ['burn'],
        opens: null,
        closes: null,
        firmness: 'hard',
        rule: 'no fire while there are young',
      },
    ];
    const { root, text } = await getPage(buildApp(deps), path(burn.key));
    expect(root.querySelectorAll('.land-map .subject')).toHaveLength(1);
    expect(root.querySelectorAll('.land-map .around').length).toBeGreaterThan(0);
    expect(root.querySelectorAll('.land-map .blown-course').length).toBeGreaterThan(0);
    expect(root.querySelectorAll('.land-map .reach').length).toBeGreaterThan(0);
    expect(root.querySelectorAll('.land-map rect.place')).toHaveLength(1);
    expect(text).toContain('North line: blown, 2,400 feet, 8 feet wide');
    expect(text).toContain('was good until 8 Nov 2026 (to do)');
    expect(text).toContain(
      'D Fox den: den; no fire while there are young; keep 150 feet off; bars burn',
    );
  });

  it('names the nearest way out where the sketch shows none, with its distance and direction', async () => {
    const deps = fakeDeps();
    const way = {
      id: 1,
      propertyId: 1,
      kind: 'way-out' as const,
      unitIds: [],
      bufferFeet: 0,
      barsFamilies: [],
      opens: null,
      closes: null,
      firmness: 'ask-first' as const,
      rule: 'keep it clear',
    };
    deps.state.operation.points = [
      { ...way, name: 'Far gate', position: [-92.4, 37.2] },
      { ...way, id: 2, name: 'South gate', position: [-92.0925, 37.1] },
    ];
    const { text } = await getPage(buildApp(deps), felling);
    // S2 is the square whose middle is 92.0925 W, 37.206 N: 0.106 degrees at 110.99 km a degree (WGS 84, from memory) are
    // 38,600 feet.
    expect(text).toContain(
      'O South gate: way out; keep it clear; 38,600 feet south, outside the sketch',
    );
    expect(text).not.toContain('Far gate');
  });

  it('of a burn leads to its packet and is no leave to light', async () => {
    const { deps, burn } = burnDeps();
    const { root, text } = await getPage(buildApp(deps), path(burn.key));
    expect(text).toContain('This sheet is no leave to light');
    expect(text).toContain('the burn boss calls it by phone or text');
    const links = root.querySelectorAll('nav a').map((one) => one.getAttribute('href'));
    expect(links).toContain(`/packets/${burn.blockId}`);
  });

  it('of no task is not there, and shows no boundary that is not on file', async () => {
    const app = buildApp(fakeDeps());
    expect((await getPage(app, '/sheets/unit:5/nothing/at/1/-')).status).toBe(404);
    const deps = fakeDeps();
    for (const unit of deps.state.operation.units) unit.boundary = null;
    const { root, text } = await getPage(buildApp(deps), felling);
    expect(root.querySelector('.land-map')).toBeNull();
    expect(text).toContain('No boundary is on file');
  });

  it('is led to from Today, the plan, the unit and the crew days', async () => {
    const app = buildApp(fakeDeps());
    const hrefs = async (at: string) =>
      (await getPage(app, at)).root.querySelectorAll('a').map((one) => one.getAttribute('href'));
    expect(await hrefs('/plan')).toContain(felling);
    expect(await hrefs('/units/5')).toContain(felling);
    expect((await hrefs('/')).some((href) => href?.startsWith('/sheets/'))).toBe(true);
    expect(await hrefs('/crew-days')).toContain('/sheets?crew=1');
  });
});

describe("the week's sheets", () => {
  it('are one page a task, for the week of today unless other days are asked for', async () => {
    const app = buildApp(fakeDeps());
    const { root, text } = await getPage(app, '/sheets');
    // Today of the tests is Monday 9 November 2026.
    expect(text).toContain('9 to 15 Nov 2026');
    const more = await getPage(app, '/sheets?from=2026-11-01&to=2026-12-31');
    expect(more.root.querySelectorAll('.task-sheet').length).toBeGreaterThan(
      root.querySelectorAll('.task-sheet').length,
    );
    const ids = more.root.querySelectorAll('.task-sheet h2').map((one) => one.id);
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('of one crew only', async () => {
    const { root } = await getPage(
      buildApp(fakeDeps()),
      '/sheets?from=2026-11-01&to=2026-12-31&crew=2',
    );
    for (const crew of root.querySelectorAll('.sheet-facts dd').filter((_, at) => at === 0))
      expect(crew.textContent).toContain('Saw contract');
    expect(root.querySelector('option[selected]')?.textContent).toBe('Saw contract');
  });

  it.each([
    ['/sheets?from=2026-11-20&to=2026-11-01', 'the last day was before the first one'],
    ['/sheets?from=2026-01-01&to=2029-01-01', 'at most 62 days'],
    ['/sheets?from=soon', '9 to 15 nov 2026'],
  ])('%s', async (asked, words) => {
    const { status, text } = await getPage(buildApp(fakeDeps()), asked);
    expect(status).toBe(200);
    expect(text.toLowerCase()).toContain(words);
  });

  it('say the next step without a plan', async () => {
    const deps = fakeDeps();
    deps.state.inForce = null;
    const { text } = await getPage(buildApp(deps), '/sheets?from=2027-01-01');
    expect(text).toContain('No plan is in force yet');
  });
});

describe('the sheet of a crew by its own link', () => {
  let server: ReturnType<typeof feedServer>;
  beforeEach(() => {
    server = feedServer();
    server.adopt(server.tasks());
  });
  afterEach(async () => {
    await server.app.close();
    server.file.close();
  });
  const uidOf = (taskKey: string) =>
    server.file.store.published().find((one) => one.taskKey === taskKey)?.uid ?? '';

  it('opens from its task, shows that one sheet, and leads back to the list alone', async () => {
    const { token } = server.addressFor('-c2', true);
    const at = `/crew/${token}/tasks/${uidOf('unit:5/cedar-woodland/fell/1/-')}`;
    const task = await getPage(server.app, at);
    const hrefs = task.root.querySelectorAll('a').map((one) => one.getAttribute('href'));
    expect(hrefs).toContain(`${at}/sheet`);
    const sheet = await getPage(server.app, `${at}/sheet`);
    expect(sheet.status).toBe(200);
    expect(sheet.headers['x-robots-tag']).toBe('noindex');
    expect(sheet.root.querySelectorAll('.task-sheet')).toHaveLength(1);
    expect(sheet.root.querySelectorAll('a').map((one) => one.getAttribute('href'))).toEqual([
      `/crew/${token}`,
    ]);
  });

  it('is closed to the tasks of others and to unknown tokens', async () => {
    const { token } = server.addressFor('-c2', true);
    const other = uidOf('block:1/cedar-woodland/line/2/-');
    const own = uidOf('unit:5/cedar-woodland/fell/1/-');
    expect((await getPage(server.app, `/crew/${token}/tasks/${other}/sheet`)).status).toBe(404);
    expect((await getPage(server.app, `/crew/${token}x/tasks/${own}/sheet`)).status).toBe(404);
  });
});

describe('the burn packet', () => {
  const open = () => getPage(buildApp(fakeDeps()), '/packets/1');

  it('holds sheet, elements, notices, limits, go/no-go, briefing, roles and patrol', async () => {
    const { status, root, text } = await open();
    expect(status).toBe(200);
    expect(root.querySelectorAll('.task-sheet')).toHaveLength(5);
    for (const words of [
      'elements of the burn plan',
      'Steps and notices, with their lead',
      'Limits of the prescription: Hardwood litter',
      '30 to 55 %',
      'Go/no-go',
      'Does the boss feel free to say no?',
      'Briefing, before the torch is lit',
      'What the burn is for.',
      'Patrol, until it is signed out',
      'Snags near the line.',
      'Roles: at least 6 people',
      'No roles are filled by named people yet.',
    ])
      expect(text).toContain(words);
  });

  it('never says ready, never go, and is nowhere green', async () => {
    const { root, text } = await open();
    expect(text).not.toMatch(/\bready\b/i);
    expect(text.replaceAll(/go\/no-go/gi, '')).not.toMatch(/\bgo ahead\b|: go\b|\bgo!/i);
    expect(text).toContain('no leave to light');
    expect(root.querySelectorAll('[class*="green"], [class*="ready"]')).toHaveLength(0);
  });

  it('names people with their qualification and says which ran out', async () => {
    const deps = fakeDeps();
    deps.state.operation.people = [
      {
        id: 1,
        name: 'Tess Arden',
        contact: 'phone list',
        crewId: null,
        burnRoles: ['boss'],
        qualifications: [{ name: 'Burn boss', expiresOn: isoDate('2026-11-08') }],
        usualDays: [],
        note: '',
      },
    ];
    const block = deps.state.operation.blocks.find(({ id }) => id === 1)!;
    block.readiness = { ...block.readiness, roles: [{ role: 'boss', personId: 1 }] };
    const { text } = await getPage(buildApp(deps), '/packets/1');
    expect(text).toContain('burn bossTess Ardenphone listBurn boss, ran out 8 Nov 2026 run out');
  });

  it('shows an element that is signed, and one that has run out', async () => {
    const deps = fakeDeps();
    const element = {
      id: 1,
      blockId: 1,
      isWritten: true,
      signedBy: 'R. Hale',
      signedOn: isoDate('2026-01-05'),
    };
    deps.state.operation.planElements = [
      { ...element, key: 'signatures', expiresOn: isoDate('2026-11-08') },
      { ...element, id: 2, key: 'smoke', expiresOn: null },
    ];
    const { text } = await getPage(buildApp(deps), '/packets/1');
    expect(text).toContain('1 of 2 not signed or run out');
    expect(text).toContain('8 Nov 2026 has run out');
  });

  it('of a block without a burn in the plan has no day; of no block is not there', async () => {
    const deps = fakeDeps();
    deps.state.inForce = null;
    const app = buildApp(deps);
    expect((await getPage(app, '/packets/1')).text).toContain(
      'no burn of this block is in the plan',
    );
    expect((await getPage(app, '/packets/99')).status).toBe(404);
    expect((await getPage(app, '/packets/99/elements')).status).toBe(404);
  });
});

describe('ticking the planning elements', () => {
  const at = '/packets/1/elements';
  const typed = {
    'isWritten-smoke': 'yes',
    'signedBy-smoke': 'R. Hale',
    'signedOn-smoke': '2026-10-01',
    'expiresOn-smoke': '2027-06-30',
  };

  it('saves what changed, all at once, and leads back to the packet', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const answer = await sendForm(app, at, fieldsOf(await getPage(app, at), at, typed));
    expect([answer.status, answer.headers['location']]).toEqual([303, '/packets/1#elements']);
    expect(deps.calls).toEqual([
      {
        name: 'packets.saveElements',
        args: [
          [
            {
              id: 0,
              blockId: 1,
              key: 'smoke',
              isWritten: true,
              signedBy: 'R. Hale',
              signedOn: '2026-10-01',
              expiresOn: '2027-06-30',
            },
          ],
        ],
      },
    ]);
  });

  it('refuses a day that is none and keeps what was typed', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const wrong = { ...typed, 'signedOn-smoke': '2026-02-30', 'signedBy-signatures': 'A. Reed' };
    const answer = await sendForm(app, at, wrong);
    expect(answer.status).toBe(422);
    expect(deps.calls).toEqual([]);
    expect(answer.text).toContain('Smoke, signed on: give a real day');
    expect(answer.text).toContain('Signatures, tick it as written');
    const field = answer.root.querySelector('#elements-signedBy-signatures');
    expect(field?.getAttribute('value')).toBe('A. Reed');
  });

  it('gives the second of two people both versions', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const form = fieldsOf(await getPage(app, at), at, typed);
    deps.state.operation.planElements = [
      {
        id: 5,
        blockId: 1,
        key: 'smoke',
        isWritten: true,
        signedBy: 'Odell Finch',
        signedOn: null,
        expiresOn: null,
      },
    ];
    const answer = await sendForm(app, at, form);
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('meanwhile somebody saved "Odell Finch", and you have "R. Hale"');
  });
});
