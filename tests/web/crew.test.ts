import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { feedServer } from '../support/feed-server.ts';
import { getPage, sendForm } from '../support/page.ts';

const fellKey = 'unit:5/cedar-woodland/fell/1/-';
const burnKey = 'block:1/cedar-woodland/burn/2/-';
const lineKey = 'block:1/cedar-woodland/line/2/-';

let server: ReturnType<typeof feedServer>;
beforeEach(() => {
  server = feedServer();
  server.adopt(server.tasks());
});
afterEach(async () => {
  await server.app.close();
  server.file.close();
});

const rowOf = (taskKey: string) => {
  const row = server.file.store.published().find((one) => one.taskKey === taskKey);
  if (!row) throw new Error(taskKey);
  return row;
};
// The day lies inside the no-work dates of the hunt for cutting, so that a reason is asked for.
const blank = { doneOn: '2026-11-09', areaAcres: '', reason: '', noWorkReason: 'no hunters here' };
const entryOf = (taskKey: string) =>
  server.deps.operation().entries.filter((entry) => entry.taskKey === taskKey);

describe('a crew’s own page', () => {
  it('shows the tasks of this crew alone, without the pages of the office', async () => {
    const { token } = server.addressFor('-c2', true);
    const page = await getPage(server.app, `/crew/${token}`);
    expect(page.status).toBe(200);
    expect(page.text).toContain('What does Saw contract have to do?');
    const links = page.root.querySelectorAll('a').map((link) => link.getAttribute('href'));
    expect(links).toEqual([`/crew/${token}/tasks/${rowOf(fellKey).uid}`]);
    expect(page.headers['x-robots-tag']).toBe('noindex');
  });

  it('is what the entries of that crew’s feed lead to', async () => {
    const made = server.addressFor('-c2', true);
    const feed = (await server.get(made.path)).body.replaceAll('\r\n ', '');
    const path = `/crew/${made.token}/tasks/${rowOf(fellKey).uid}`;
    expect(feed).toContain(`\r\nURL;VALUE=URI:http://land.example${path}\r\n`);
    expect(feed).toContain(`possible: http://land.example${path}\r\n`);
    expect((await getPage(server.app, path)).text).toContain('How did it go?');
  });

  it('is closed to the tasks of others, to reading addresses, other feeds, old and unknown tokens', async () => {
    const { token, link } = server.addressFor('-c2', true);
    const status = async (path: string) => (await getPage(server.app, path)).status;
    expect(await status(`/crew/${token}/tasks/${rowOf(burnKey).uid}`)).toBe(404);
    expect(await status(`/crew/${server.addressFor('-c2').token}`)).toBe(404);
    expect(await status(`/crew/${server.addressFor('-p1', true).token}`)).toBe(404);
    expect(await status(`/crew/${'x'.repeat(43)}`)).toBe(404);
    const rotated = server.deps.feeds.rotate(link.id);
    expect(await status(`/crew/${token}`)).toBe(410);
    expect(rotated.ok && (await status(`/crew/${rotated.value.token}`))).toBe(200);
    server.deps.feeds.revoke(link.id);
    expect(rotated.ok && (await status(`/crew/${rotated.value.token}`))).toBe(410);
  });

  it('takes no report for a task of another crew', async () => {
    const { token } = server.addressFor('-c2', true);
    const path = `/crew/${token}/tasks/${rowOf(burnKey).uid}`;
    const before = server.deps.operation().entries.length;
    expect((await sendForm(server.app, path, { ...blank, outcome: 'done' })).status).toBe(404);
    expect(server.deps.operation().entries).toHaveLength(before);
  });

  it.each([
    ['done', { outcome: 'done' }, { outcome: 'done', areaAcres: null }],
    ['partly', { outcome: 'partly', areaAcres: '12.5' }, { outcome: 'partly', areaAcres: 12.5 }],
    [
      'not possible',
      { outcome: 'not-possible', reason: 'too wet' },
      { outcome: 'not-possible', reason: 'too wet' },
    ],
  ])('takes: %s', async (_name, typed, written) => {
    const { token, path: feedPath } = server.addressFor('-c2', true);
    const path = `/crew/${token}/tasks/${rowOf(fellKey).uid}`;
    const sent = await sendForm(server.app, path, { ...blank, ...typed });
    expect([sent.status, sent.headers['location']]).toEqual([303, path]);
    expect(entryOf(fellKey)).toMatchObject([
      { unitId: 5, treatmentKey: 'cedar-felling', doneOn: '2026-11-09', ...written },
    ]);
    // The next fetch of the feed tells it: same uid, sequence up.
    const feed = (await server.get(feedPath)).body.replaceAll('\r\n ', '');
    expect(feed).toContain(`UID:${rowOf(fellKey).uid}\r\nSEQUENCE:1\r\n`);
    const page = await getPage(server.app, path);
    expect(page.status).toBe(200);
    expect(page.root.querySelectorAll('button')).toHaveLength(typed.outcome === 'partly' ? 3 : 0);
  });

  it.each([
    ['partly without acres', { outcome: 'partly' }, 'write how many acres'],
    ['partly with no acres', { outcome: 'partly', areaAcres: '' }, 'write how many acres'],
    ['partly with nothing', { outcome: 'partly', areaAcres: '0' }, 'write a number above 0'],
    ['no reason', { outcome: 'not-possible', reason: ' ' }, 'why it was not possible'],
    ['tomorrow', { outcome: 'done', doneOn: '2026-11-10' }, 'today or an earlier day'],
    ['no day', { outcome: 'done', doneOn: '' }, 'Last day: write a real day'],
    ['another unit', { outcome: 'done', unitId: '1' }, 'Unit: choose one of the list'],
    ['no such outcome', { outcome: 'perhaps' }, 'How it went: choose one'],
  ])('refuses: %s, and keeps what was typed', async (_name, typed, words) => {
    const { token } = server.addressFor('-c2', true);
    const path = `/crew/${token}/tasks/${rowOf(fellKey).uid}`;
    const page = await sendForm(server.app, path, { ...blank, reason: 'wet', ...typed });
    expect(page.status).toBe(422);
    expect(page.text).toContain(words);
    const reason = page.root.querySelector('#report-reason')?.getAttribute('value');
    expect(reason).toBe('reason' in typed ? typed.reason?.trim() : 'wet');
    expect(entryOf(fellKey)).toEqual([]);
  });

  it('asks for an approval or a reason inside no-work dates, and keeps it', async () => {
    const { token } = server.addressFor('-c2', true);
    const path = `/crew/${token}/tasks/${rowOf(fellKey).uid}`;
    const asked = await sendForm(server.app, path, {
      ...blank,
      noWorkReason: '',
      outcome: 'done',
      note: 'typed',
    });
    expect(asked.status).toBe(422);
    expect(asked.text).toContain('lies inside no-work dates: Firearms deer season');
    expect(asked.root.querySelector('#report-note')?.getAttribute('value')).toBe('typed');
    await sendForm(server.app, path, { ...blank, outcome: 'done' });
    expect(server.deps.worklog.details()).toMatchObject([
      { noWork: { rules: ['Firearms deer season'], reason: 'no hunters here', approvedBy: '' } },
    ]);
  });

  it('is written once when a phone sends it twice', async () => {
    const { token } = server.addressFor('-c2', true);
    const path = `/crew/${token}/tasks/${rowOf(fellKey).uid}`;
    const typed = { ...blank, outcome: 'done', people: '3', hoursEach: '6.5', sendKey: 'a1b2c3' };
    for (const _time of ['first', 'again'])
      expect((await sendForm(server.app, path, typed)).status).toBe(303);
    expect(entryOf(fellKey)).toMatchObject([{ personHours: 19.5 }]);
  });

  it('is closed for a task that was reported already', async () => {
    const { token } = server.addressFor('-c2', true);
    const path = `/crew/${token}/tasks/${rowOf(fellKey).uid}`;
    await sendForm(server.app, path, { ...blank, outcome: 'done' });
    const again = await sendForm(server.app, path, { ...blank, outcome: 'done' });
    expect(again.status).toBe(422);
    expect(entryOf(fellKey)).toHaveLength(1);
  });

  it('a burn that is reported stays open until it is signed out', async () => {
    const { token } = server.addressFor('-c1', true);
    await sendForm(server.app, `/crew/${token}/tasks/${rowOf(burnKey).uid}`, {
      ...blank,
      outcome: 'done',
    });
    expect(entryOf(burnKey)[0]).toMatchObject({ fireCause: 'planned', signedOutOn: null });
  });

  it('a task of a block writes a fact for each unit, acres of one unit at a time', async () => {
    const content = server.file.store.landContent();
    const unit = content.units.find((one) => one.id === 2);
    if (unit) unit.blockId = 1;
    server.file.store.replaceLand(content);
    server.adopt(server.tasks().filter((task) => task.blockId === 1 && task.stepKey === 'line'));
    const { token } = server.addressFor('-c1', true);
    const path = `/crew/${token}/tasks/${rowOf(lineKey).uid}`;
    const isClosed =
      (await getPage(server.app, path)).root.querySelector('#report-unitId') === null;
    if (isClosed) throw new Error('the line task is closed in the invented land');
    const refused = await sendForm(server.app, path, {
      ...blank,
      outcome: 'partly',
      areaAcres: '3',
      unitId: '',
    });
    expect(refused.text).toContain('choose the one that the acres are of');
    await sendForm(server.app, path, { ...blank, outcome: 'done', unitId: '' });
    expect(
      entryOf(lineKey)
        .map((entry) => entry.unitId)
        .sort(),
    ).toEqual([1, 2]);
  });
});
