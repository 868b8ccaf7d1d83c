import ICAL from 'ical.js';
import ical from 'node-ical';
import { afterAll, describe, expect, it } from 'vitest';
import { addDays, type IsoDate, isoDate } from '../../src/core/dates.ts';
import type { PublishedTask } from '../../src/core/publication.ts';
import type { PlannedTask } from '../../src/core/tasks.ts';
import { renderFeed } from '../../src/feeds/ics.ts';
import { redactFeedUrl } from '../../src/web/routes/feed-files.ts';
import { feedServer } from '../support/feed-server.ts';
import { fakeToday } from '../support/operation.ts';
import { fakeTask } from '../support/plan.ts';
import { lintFeed } from './lint.ts';
import { fernhill, revisedAt, row, rows } from './rows.ts';

/**
 * The 44 requirements of a first-class feed, each by its number. They come from RFC 5545, 5546, 7986, 9253 and
 * 9110 and from what calendar programs were seen to do; sections are named where a number is checked.
 */

const bell = '\u0007';
const hostileName = `x; y, z \\ "q": r${bell}\r\nBEGIN:VEVENT`;
const lineKey = 'block:1/cedar-woodland/line/2/-';
const burnKey = 'block:1/cedar-woodland/burn/2/-';
const fellKey = 'unit:5/cedar-woodland/fell/1/-';
const options = { baseUrl: 'https://land.example', sourceUrl: null, revisedAt };

const servers: ReturnType<typeof feedServer>[] = [];
function server(change: (tasks: PlannedTask[]) => PlannedTask[] = (tasks) => tasks) {
  const made = feedServer();
  made.adopt(change(made.tasks()));
  servers.push(made);
  return made;
}
afterAll(async () => {
  for (const one of servers) {
    await one.app.close();
    one.file.close();
  }
});

const unfold = (text: string) => text.replaceAll('\r\n ', '');
const linesOf = (text: string) => unfold(text).split('\r\n');
const header = (text: string) => `${unfold(text).split('\r\nBEGIN:VEVENT\r\n')[0]}\r\n`;
const eventsIn = (text: string) =>
  unfold(text)
    .split('\r\nBEGIN:VEVENT\r\n')
    .slice(1)
    .map((part) => part.split('\r\nEND:VEVENT\r\n')[0] ?? '')
    .filter((part) => !part.includes('SUMMARY:About this feed'));
const valueIn = (event: string, name: string) =>
  new RegExp(`^${name}(?:;[^:\\r]*)?:(.*)$`, 'm').exec(event)?.[1]?.trim() ?? '';
const eventWith = (text: string, words: string) => {
  const found = eventsIn(text).find((event) => event.includes(words));
  if (!found) throw new Error(`no event says ${words}`);
  return found;
};
const rowOf = (one: ReturnType<typeof feedServer>, taskKey: string) =>
  one.file.store.published().find((published) => published.taskKey === taskKey) as PublishedTask;

const shared = server();
const feed = async (ending: string, query = '', from = shared) =>
  (await from.get(`${from.addressFor(ending).path}${query}`)).body;
const move = (tasks: PlannedTask[], key: string, startsOn: string, lastDay: string) =>
  tasks.map((task) =>
    task.key === key ? { ...task, startsOn: isoDate(startsOn), lastDay: isoDate(lastDay) } : task,
  );

/** Every kind of feed there is, and every variant. */
const endings = ['-p1', '-c1', '-c2', '-u1', '-l1', '-b1', '-n1', '-w1'];
const variants = ['', '?alarms=1', '?tasks=1', '?alarms=1&tasks=1'];

describe('object and encoding', () => {
  it('R1 line ends, last bytes, UTF-8 without a mark, in every feed and variant', async () => {
    for (const ending of endings)
      for (const variant of variants) {
        const text = await feed(ending, variant);
        expect(text.endsWith('END:VCALENDAR\r\n')).toBe(true);
        expect(text).not.toMatch(/\r(?!\n)|(?<!\r)\n|\r\n\r\n|^\uFEFF/);
        expect(lintFeed(new TextEncoder().encode(text)), `${ending}${variant}`).toEqual([]);
      }
  });

  it('R2 no line over 75 octets, none split inside a character', () => {
    const long = row(1, '2027-03-10', '2027-03-14', { summary: `${'é'.repeat(200)}🔥`.repeat(3) });
    const text = renderFeed(fernhill, [long], options);
    for (const line of text.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
    expect(text).not.toContain('\uFFFD');
    expect(unfold(text)).toContain(`${'é'.repeat(200)}🔥`.repeat(3));
  });

  it('R3 no control characters, lone surrogates replaced', () => {
    const odd = row(1, '2027-03-10', '2027-03-14', { summary: `a${bell}b\tc\ud800d` });
    const text = renderFeed(fernhill, [odd], options);
    expect(linesOf(text)).toContain('SUMMARY:TENTATIVE: ab\tc\ufffdd');
  });

  it('R4 TEXT escapes backslash, semicolon, comma and line end; colon and quote stay', () => {
    const odd = row(1, '2027-03-10', '2027-03-14', { summary: hostileName });
    const text = renderFeed(fernhill, [odd], options);
    expect(linesOf(text)).toContain('SUMMARY:TENTATIVE: x\\; y\\, z \\\\ "q": r BEGIN:VEVENT');
    expect(eventsIn(text)).toHaveLength(1);
  });

  it('R5 addresses carry no escapes', () => {
    const sourceUrl = 'https://land.example/feed/t/a,b;c.ics?x=1,2;b';
    const text = renderFeed(fernhill, rows, { ...options, sourceUrl });
    const addresses = linesOf(text).filter((line) => /^(URL|SOURCE)[;:]/.test(line));
    expect(addresses).toContain(`SOURCE;VALUE=URI:${sourceUrl}`);
    expect(addresses.length).toBe(rows.length + 2);
    expect(addresses.join('')).not.toContain('\\');
  });

  it('R6 parameters hold only our own words, so none needs quoting', async () => {
    const odd = row(1, '2027-03-10', '2027-03-14', {
      summary: hostileName,
      place: { latitude: 1, longitude: 2, words: hostileName },
    });
    const texts = [renderFeed({ ...fernhill, title: hostileName }, [odd], options)];
    for (const ending of endings) texts.push(await feed(ending, '?alarms=1&tasks=1'));
    const parameters = texts
      .flatMap(linesOf)
      .flatMap(
        (line) => /^[A-Z-]+((?:;[A-Z-]+=[^:;]*)+):/.exec(line)?.[1]?.slice(1).split(';') ?? [],
      );
    for (const parameter of parameters)
      expect(parameter).toMatch(
        /^(VALUE=(DATE|URI|DURATION)|RELTYPE=(FINISHTOSTART|DEPENDS-ON)|GAP=P\d+D)$/,
      );
    expect(parameters.length).toBeGreaterThan(50);
  });

  it('R7 VERSION and PRODID once, before the first component; at least one component', async () => {
    for (const ending of [...endings, '-p2']) {
      const text = await feed(ending);
      for (const name of ['VERSION:', 'PRODID:']) {
        expect(header(text).split(`\r\n${name}`)).toHaveLength(2);
        expect(text.split(`\r\n${name}`)).toHaveLength(2);
      }
      expect(text).toContain('BEGIN:VEVENT');
    }
  });

  it('R8 no unregistered bare names', async () => {
    // RFC 5545 section 8.3, RFC 7986 section 6, RFC 9253 section 11; X- names are free.
    const registered =
      'BEGIN END VERSION PRODID CALSCALE NAME DESCRIPTION REFRESH-INTERVAL COLOR SOURCE URL UID SEQUENCE DTSTAMP DTSTART DTEND DUE SUMMARY TRANSP LOCATION CATEGORIES STATUS CREATED LAST-MODIFIED GEO REFID RELATED-TO ACTION TRIGGER'.split(
        ' ',
      );
    for (const ending of endings) {
      const names = linesOf(await feed(ending, '?alarms=1&tasks=1'))
        .filter((line) => line !== '')
        .map((line) => /^[A-Z-]+/.exec(line)?.[0] ?? line);
      expect(names.filter((name) => !name.startsWith('X-') && !registered.includes(name))).toEqual(
        [],
      );
    }
  });
});

describe('components', () => {
  it('R9 a UID is opaque, once a feed, the same in every feed, and stays through replan and rename', async () => {
    const own = server();
    const { uid } = rowOf(own, fellKey);
    expect(uid).toMatch(/^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/);
    for (const ending of ['-p1', '-c2', '-u5', '-l1']) {
      const uids = eventsIn(await feed(ending, '', own)).map((event) => valueIn(event, 'UID'));
      expect(uids).toContain(uid);
      expect(new Set(uids).size).toBe(uids.length);
    }
    own.adopt(move(own.tasks(), fellKey, '2026-12-07', '2026-12-23'));
    own.deps.land.updateUnit(5, { code: 'S9', name: 'Renamed' });
    expect(valueIn(eventWith(await feed('-p1', '', own), 'S9 Renamed'), 'UID')).toBe(uid);
  });

  it('R10 stamps are UTC and those of the row, not of now', async () => {
    const text = await feed('-p1');
    for (const event of eventsIn(text)) {
      const published = shared.file.store
        .published()
        .find((one) => one.uid === valueIn(event, 'UID')) as PublishedTask;
      const stamp = published.revisedAt.replace(/[-:]/g, '');
      expect(stamp).toMatch(/^\d{8}T\d{6}Z$/);
      expect(valueIn(event, 'DTSTAMP')).toBe(stamp);
      expect(valueIn(event, 'LAST-MODIFIED')).toBe(stamp);
      expect(valueIn(event, 'CREATED')).toBe(published.createdAt.replace(/[-:]/g, ''));
    }
  });

  it('R11 SEQUENCE starts at 0 and rises with every visible change, also back again', async () => {
    const own = server();
    const seen: string[][] = [];
    const note = async () => {
      const text = await feed('-p1', '', own);
      const event = eventWith(text, `UID:${rowOf(own, fellKey).uid}`);
      seen.push(['SEQUENCE', 'DTSTART', 'STATUS'].map((name) => valueIn(event, name)));
      return { stamp: valueIn(event, 'DTSTAMP'), other: eventWith(text, 'Dogtooth flat: make') };
    };
    const first = await note();
    own.adopt(move(own.tasks(), fellKey, '2026-12-07', '2026-12-23'));
    const moved = await note();
    own.adopt(own.tasks());
    await note();
    own.adopt(own.tasks().filter((task) => task.key !== fellKey));
    await note();
    own.adopt(own.tasks());
    await note();
    expect(seen).toEqual([
      ['0', '20261130', 'TENTATIVE'],
      ['1', '20261207', 'TENTATIVE'],
      ['2', '20261130', 'TENTATIVE'],
      ['3', '20261130', 'CANCELLED'],
      ['4', '20261130', 'TENTATIVE'],
    ]);
    expect(moved.stamp > first.stamp).toBe(true);
    expect(moved.other).toBe(first.other);
  });

  it('R12 dates are DATE values, DTEND is the day after the last one', async () => {
    const event = eventWith(await feed('-p1'), 'Post oak bench: fell cedar');
    expect(event).toContain('DTSTART;VALUE=DATE:20261130');
    expect(event).toContain('DTEND;VALUE=DATE:20261219');
    const empty = row(1, '2027-03-10', '2027-03-10', {});
    expect(() => renderFeed(fernhill, [empty], options)).toThrow(/not after/);
  });

  it('R13 the bytes are the same in every time zone of the process', async () => {
    // This file runs under UTC, America/Chicago and Pacific/Auckland: one golden file for all three.
    expect(process.env['TZ']).toBe(Intl.DateTimeFormat().resolvedOptions().timeZone);
    const text = renderFeed(fernhill, rows, { ...options, hasAlarms: true, hasToDos: true });
    await expect(text).toMatchFileSnapshot('../fixtures/feeds/alarms-and-to-dos.ics');
  });

  it('R14 statuses are those of the kind of component', async () => {
    const text = renderFeed(fernhill, rows, { ...options, hasToDos: true });
    const calendar = new ICAL.Component(ICAL.parse(text) as unknown[]);
    const statuses = (kind: string) => [
      ...new Set(
        calendar.getAllSubcomponents(kind).map((part) => part.getFirstPropertyValue('status')),
      ),
    ];
    expect(statuses('vevent').sort()).toEqual(['CANCELLED', 'CONFIRMED', 'TENTATIVE']);
    expect(statuses('vtodo').sort()).toEqual([
      'CANCELLED',
      'COMPLETED',
      'IN-PROCESS',
      'NEEDS-ACTION',
    ]);
  });

  it('R15 busy time is only that of committed crew days', async () => {
    for (const ending of endings)
      for (const event of eventsIn(await feed(ending)))
        expect(valueIn(event, 'TRANSP')).toBe(
          /^SUMMARY:.*, under way$/m.test(event.replaceAll('\r', '')) ? 'OPAQUE' : 'TRANSPARENT',
        );
    const [underWay] = eventsIn(renderFeed(fernhill, rows, options)).filter((event) =>
      event.includes('TRANSP:OPAQUE'),
    );
    expect(underWay).toContain('under way');
  });

  it('R16 free time says so to the programs that read only BUSYSTATUS', () => {
    for (const event of eventsIn(renderFeed(fernhill, rows, options))) {
      const isFree = valueIn(event, 'TRANSP') === 'TRANSPARENT';
      const busy = valueIn(event, 'X-MICROSOFT-CDO-BUSYSTATUS');
      expect(isFree ? ['FREE', 'TENTATIVE'] : ['BUSY']).toContain(busy);
    }
  });

  it('R17 tentative and cancelled stand in the summary and in words', async () => {
    for (const event of eventsIn(renderFeed(fernhill, rows, options))) {
      const status = valueIn(event, 'STATUS');
      const isPlain = status === 'CONFIRMED';
      expect(valueIn(event, 'SUMMARY').startsWith(`${status}: `)).toBe(!isPlain);
      const word = { TENTATIVE: 'Tentative: ', CANCELLED: 'Cancelled', CONFIRMED: '' }[status];
      expect(valueIn(event, 'DESCRIPTION').startsWith(word ?? '?')).toBe(true);
    }
  });

  it('R18 a deadline is an all-day entry; to-dos only for those who ask, never the only copy', async () => {
    const plain = await feed('-n1');
    expect(plain).not.toContain('VTODO');
    expect(eventWith(plain, 'signed burn plan runs out')).toContain('DTSTART;VALUE=DATE:20270630');
    const asked = await feed('-n1', '?tasks=1');
    expect(eventsIn(asked)).toHaveLength(eventsIn(plain).length);
    expect(asked.split('BEGIN:VTODO').length - 1).toBe(eventsIn(plain).length);
    expect(unfold(asked)).toContain('DUE;VALUE=DATE:20270630');
    // A rule and an outlook are nothing to do.
    expect(await feed('-w1', '?tasks=1')).not.toContain('VTODO');
    expect(await feed('-b1', '?tasks=1')).not.toContain('VTODO');
  });

  it('R19 seasonal spans are one entry a season, no recurrence', async () => {
    const text = await feed('-w1');
    expect(text).not.toContain('RRULE');
    expect(eventsIn(text).map((event) => valueIn(event, 'DTSTART'))).toEqual([
      '20261101',
      '20271101',
    ]);
  });

  it('R20 categories come from a fixed list without commas; GEO has at most 6 decimals', async () => {
    const fixed = ['Burn', 'Cut', 'Line and soil', 'Spray', 'Plant', 'Monitor', 'Notice'];
    for (const ending of endings)
      for (const event of eventsIn(await feed(ending))) {
        expect(fixed).toContain(valueIn(event, 'CATEGORIES'));
        expect(valueIn(event, 'GEO')).toMatch(/^-?\d+\.\d{1,6};-?\d+\.\d{1,6}$/);
      }
    const tiny = row(1, '2027-03-10', '2027-03-14', {
      place: { latitude: 1e-7, longitude: -1e-9, words: '' },
    });
    expect(renderFeed(fernhill, [tiny], options)).toContain('GEO:0.000000;-0.000000');
  });

  it('R21 a landowner’s contact is in no feed, not even marked private', async () => {
    const contact = 'call 555-0100 first';
    const own = server();
    const content = own.file.store.landContent();
    for (const owner of content.landowners) owner.contact = contact;
    own.file.store.replaceLand(content);
    own.adopt(own.tasks());
    for (const ending of endings) {
      const text = unfold(await feed(ending, '?alarms=1&tasks=1', own));
      expect(text).not.toContain('555-0100');
      expect(text).not.toContain('CLASS');
    }
  });

  it('R22 no attendees; alarms only for those who ask, none on what is done or cancelled', async () => {
    for (const ending of endings)
      expect(await feed(ending)).not.toMatch(/ATTENDEE|ORGANIZER|VALARM/);
    expect(await feed('-p1', '?alarms=1')).toContain('BEGIN:VALARM\r\nACTION:DISPLAY\r\n');
    const events = eventsIn(renderFeed(fernhill, rows, { ...options, hasAlarms: true }));
    expect(events.filter((event) => event.includes('VALARM'))).toHaveLength(2);
  });
});

describe('calendar', () => {
  it('R23 NAME and X-WR-CALNAME are equal and escaped, the descriptions too', () => {
    const scope = { ...fernhill, title: hostileName, description: hostileName };
    const head = header(renderFeed(scope, rows, options));
    const value = 'x\\; y\\, z \\\\ "q": r BEGIN:VEVENT';
    for (const name of ['NAME', 'X-WR-CALNAME', 'DESCRIPTION', 'X-WR-CALDESC'])
      expect(head).toContain(`\r\n${name}:${value}\r\n`);
  });

  it('R24 the refresh interval is a DURATION and equal to X-PUBLISHED-TTL', async () => {
    const head = header(await feed('-p1'));
    expect(head).toContain('\r\nREFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n');
    expect(head).toContain('\r\nX-PUBLISHED-TTL:PT1H\r\n');
  });

  it('R25 COLOR by name and as hex, SOURCE the own address, URL the page; no SOURCE in a file', async () => {
    const { path } = shared.addressFor('-p1');
    const head = header((await shared.get(`${path}?alarms=1`)).body);
    expect(head).toMatch(/\r\nCOLOR:[a-z]+\r\n/);
    expect(head).toMatch(/\r\nX-APPLE-CALENDAR-COLOR:#[0-9A-F]{6}\r\n/);
    expect(head).toContain(`\r\nSOURCE;VALUE=URI:http://land.example${path}?alarms=1\r\n`);
    expect(head).toContain('\r\nURL;VALUE=URI:http://land.example/feeds\r\n');
    const file = (await shared.get(`/calendar/task.ics?key=${encodeURIComponent(fellKey)}`)).body;
    expect(eventsIn(file)).toHaveLength(1);
    expect(file).not.toMatch(/SOURCE|\/feed\/|\/crew\//);
    expect(lintFeed(new TextEncoder().encode(file))).toEqual([]);
  });

  it('R26 colour never tells anything that words do not', async () => {
    for (const event of eventsIn(await feed('-p1'))) {
      expect(event).not.toMatch(/^COLOR/m);
      expect(valueIn(event, 'SUMMARY')).toMatch(/: [a-z].*/);
    }
  });
});

describe('relations', () => {
  it('R27 FINISHTOSTART with its gap stands in the predecessor', async () => {
    const text = renderFeed(fernhill, rows, options);
    const [felling, burn] = eventsIn(text);
    expect(felling).toContain(`RELATED-TO;RELTYPE=FINISHTOSTART;GAP=P17D:${rows[1]?.uid}`);
    expect(burn).not.toContain('FINISHTOSTART');
    // A burn a growing season after the felling that stands in the plan.
    const nextBurn = 'block:5/cedar-woodland/burn/1/-';
    const own = server((tasks) => [
      ...tasks,
      fakeTask(nextBurn, '2028-01-10', '2028-01-23', {
        treatmentKey: 'dormant-burn',
        family: 'burn',
        isWhenFit: true,
      }),
    ]);
    const relation = eventWith(await feed('-p1', '', own), `UID:${rowOf(own, fellKey).uid}`);
    expect(relation).toMatch(
      new RegExp(`RELTYPE=FINISHTOSTART;GAP=P[1-9]\\d+D:${rowOf(own, nextBurn).uid}`),
    );
  });

  it('R28 the successor names the predecessor with DEPENDS-ON', async () => {
    const burn = eventWith(await feed('-p1'), `UID:${rowOf(shared, burnKey).uid}`);
    expect(burn).toContain(`RELATED-TO;RELTYPE=DEPENDS-ON:${rowOf(shared, lineKey).uid}`);
  });

  it('R29 REFID groups the tasks of one job; no LINK and no CONCEPT that lack their parts', async () => {
    const text = await feed('-p1');
    const refid = (key: string) =>
      valueIn(eventWith(text, `UID:${rowOf(shared, key).uid}`), 'REFID');
    expect(refid(lineKey)).toMatch(/^[0-9a-f-]{36}$/);
    expect(refid(lineKey)).toBe(refid(burnKey));
    expect(refid(fellKey)).not.toBe(refid(burnKey));
    expect(text).not.toMatch(/^(LINK|CONCEPT)/m);
    const broken = text.replace('REFID:', 'LINK:https://land.example/x\r\nREFID:');
    expect(lintFeed(new TextEncoder().encode(broken))).toContain('LINK without VALUE and LINKREL');
  });

  it('R30 every dependency is in words too', async () => {
    const burn = eventWith(await feed('-p1'), `UID:${rowOf(shared, burnKey).uid}`);
    expect(valueIn(burn, 'DESCRIPTION')).toMatch(/Earliest \d+ \w+ \d{4}: .*make the line/);
  });

  it('R31 a feed that shows only one end names none that it lacks', async () => {
    const own = server((tasks) =>
      tasks.map((task) => (task.key === lineKey ? { ...task, crewIds: [2] } : task)),
    );
    expect(await feed('-p1', '', own)).toContain('RELATED-TO');
    expect(await feed('-c1', '', own)).not.toContain('RELATED-TO');
    expect(await feed('-c2', '', own)).not.toContain('RELATED-TO');
  });
});

describe('HTTP', () => {
  const { path } = shared.addressFor('-p1');
  const head = (url: string) =>
    shared.app.inject({ method: 'HEAD', url, headers: { host: 'land.example' } });

  it('R32 GET and HEAD answer 200 with the type of a calendar', async () => {
    const [body, probe] = [await shared.get(path), await head(path)];
    expect([body.statusCode, probe.statusCode]).toEqual([200, 200]);
    for (const name of ['content-type', 'etag', 'last-modified', 'cache-control'])
      expect(probe.headers[name]).toBe(body.headers[name]);
    expect(probe.headers['content-type']).toBe('text/calendar; charset=utf-8');
    expect(probe.body).toBe('');
  });

  it('R33 a strong ETag of its own for each coding', async () => {
    const [plain, again] = [await shared.get(path), await shared.get(path)];
    const zipped = await shared.get(path, { 'accept-encoding': 'gzip' });
    expect(plain.headers.etag).toMatch(/^"[0-9a-f]{32}"$/);
    expect(again.headers.etag).toBe(plain.headers.etag);
    expect(again.body).toBe(plain.body);
    expect(zipped.headers['content-encoding']).toBe('gzip');
    expect(zipped.headers.etag).not.toBe(plain.headers.etag);
    expect(zipped.headers['vary']).toBe('Accept-Encoding');
    // Another address of the same feed has other bytes, so another tag.
    const other = await shared.get(shared.addressFor('-p1').path);
    expect(other.headers.etag).not.toBe(plain.headers.etag);
  });

  it('R34 unchanged is 304; If-None-Match beats the date; Last-Modified moves with removals', async () => {
    const own = server();
    const address = own.addressFor('-p1').path;
    const first = await own.get(address);
    const tag = String(first.headers.etag);
    const since = { 'if-modified-since': String(first.headers['last-modified']) };
    const status = async (headers: Record<string, string>) =>
      (await own.get(address, headers)).statusCode;
    expect(await status({ 'if-none-match': `"x", W/${tag}` })).toBe(304);
    expect(await status({ 'if-none-match': '*' })).toBe(304);
    expect(await status(since)).toBe(304);
    expect(await status({ 'if-none-match': '"x"', ...since })).toBe(200);
    own.adopt(own.tasks().filter((task) => task.key !== fellKey));
    expect(await status({ 'if-none-match': tag })).toBe(200);
    const { revisedAt: removedAt } = rowOf(own, fellKey);
    const at = Date.parse(String((await own.get(address)).headers['last-modified']));
    // Rows may be stamped a second ahead of the clock; a future date is not sent.
    expect(at).toBeGreaterThanOrEqual(Math.min(Date.parse(removedAt), Date.now() - 2000));
  });

  it('R35 private, not indexed, not sniffed, no referrer', async () => {
    expect((await shared.get(path)).headers).toMatchObject({
      'cache-control': 'private, no-cache',
      'x-robots-tag': 'noindex',
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
    });
  });

  it('R36 no cookie, no redirect, no page in between', async () => {
    const answer = await shared.get(path);
    expect(answer.statusCode).toBe(200);
    expect(answer.headers['set-cookie']).toBeUndefined();
    expect(answer.headers['location']).toBeUndefined();
  });

  it.each(['PUT', 'POST', 'DELETE'] as const)('R37 %s is 405 with Allow', async (method) => {
    const answer = await shared.app.inject({
      method,
      url: path,
      headers: { host: 'land.example' },
    });
    expect(answer.statusCode).toBe(405);
    expect(answer.headers['allow']).toBe('GET, HEAD');
  });

  it('R38 a token of 256 bits, stored hashed, shown once, with label, dates and agent, never logged', async () => {
    const own = server();
    const made = own.addressFor('-p1');
    expect(Buffer.from(made.token, 'base64url')).toHaveLength(32);
    await own.get(made.path, { 'user-agent': 'ExampleCalendar/3.1' });
    const [listed] = own.deps.feeds.list();
    expect(listed).toMatchObject({ label: 'test', lastFetchedBy: 'ExampleCalendar/3.1' });
    expect(listed?.lastFetchedAt).toMatch(/^\d{4}-/);
    expect(JSON.stringify(own.deps.feeds.list())).not.toContain(made.token);
    expect((await own.get('/feeds', { host: 'localhost' })).body).not.toContain(made.token);
    expect(redactFeedUrl(`${made.path}?alarms=1`)).toBe('/feed/[hidden]');
    expect(redactFeedUrl(`/crew/${made.token}/tasks/x`)).toBe('/crew/[hidden]');
  });

  it('R39 unknown is 404 and revoked 410, in plain words, not to be kept', async () => {
    const own = server();
    const made = own.addressFor('-p1');
    own.deps.feeds.revoke(made.link.id);
    const unknown = await own.get(made.path.replace(made.token, 'x'.repeat(43)));
    const revoked = await own.get(made.path);
    expect([unknown.statusCode, revoked.statusCode]).toEqual([404, 410]);
    for (const answer of [unknown, revoked]) {
      expect(answer.headers['cache-control']).toBe('no-store');
      expect(answer.headers['content-type']).toBe('text/plain; charset=utf-8');
      expect(answer.body).not.toContain('BEGIN:V');
    }
  });

  it('R40 a replaced address says so in one entry; work is gone from it', async () => {
    const own = server();
    const made = own.addressFor('-p1');
    const rotated = own.deps.feeds.rotate(made.link.id);
    expect(rotated.ok).toBe(true);
    const old = await own.get(made.path);
    expect(old.statusCode).toBe(200);
    expect(old.body.split('BEGIN:VEVENT')).toHaveLength(2);
    expect(old.body).toContain('SUMMARY:This link was replaced\r\n');
    expect(old.body).not.toContain('SOURCE');
    expect(lintFeed(new TextEncoder().encode(old.body))).toEqual([]);
    expect(
      (await own.get(made.path, { 'if-none-match': String(old.headers.etag) })).statusCode,
    ).toBe(304);
    own.deps.feeds.revoke(made.link.id);
    expect((await own.get(made.path)).statusCode).toBe(410);
  });

  it('R41 robots are not told to stay away from the feeds', async () => {
    const robots = await shared.get('/robots.txt');
    expect(robots.statusCode === 404 || !/disallow:\s*\/(feed)?/i.test(robots.body)).toBe(true);
  });

  it('R42 the subscribe page gives every way in, and the honest delay of each program', async () => {
    const answer = await shared.app.inject({
      method: 'POST',
      url: '/feeds',
      headers: { host: 'land.example', 'content-type': 'application/x-www-form-urlencoded' },
      payload: new URLSearchParams({ name: 'fernhill-ridge-p1', label: 'office' }).toString(),
    });
    const issued = /\/feed\/([\w-]{43})\/fernhill-ridge-p1\.ics/.exec(answer.body)?.[1] ?? '';
    const address = `land.example/feed/${issued}/fernhill-ridge-p1.ics`;
    const google = encodeURIComponent(`webcal://${address}`);
    for (const words of [
      `http://${address}`,
      `href="webcal://${address}"`,
      `https://calendar.google.com/calendar/r?cid=${google}`,
      'data-copies="issued-address"',
      'it does not take webcal',
      '/calendar/season.ics?season=2026',
      '4 to 24 hours',
      'fetch from their own servers',
    ])
      expect(answer.body).toContain(words);
  });

  it('R43 a feed is made once a revision and day, then served from memory', async () => {
    const own = server();
    let published = 0;
    const { publish } = own.file;
    own.file.publish = () => {
      published += 1;
      publish();
    };
    const address = own.addressFor('-p1').path;
    for (let poll = 0; poll < 5; poll++) await own.get(address);
    expect(published).toBe(1);
    own.adopt(move(own.tasks(), fellKey, '2026-12-07', '2026-12-23'));
    published = 0;
    for (let poll = 0; poll < 5; poll++) await own.get(address);
    expect(published).toBe(1);
  });

  // Tombstones of 90 days and Last-Modified on ageing out: tests/core/publication.test.ts.
  it('R44 shows 90 days back and 18 months ahead', async () => {
    const far = addDays(fakeToday, 560);
    const on = async (today: IsoDate) => {
      const own = feedServer(today);
      servers.push(own);
      own.adopt([
        ...own.tasks(),
        fakeTask('unit:1/cedar-woodland/cure-check/9/-', far, far, { treatmentKey: 'cure-check' }),
      ]);
      const text = await feed('-p1', '', own);
      return [text.includes('DTSTART;VALUE=DATE:20261130'), text.includes(far.replaceAll('-', ''))];
    };
    expect(await on(addDays(fakeToday, 11))).toEqual([true, false]);
    expect(await on(addDays(fakeToday, 12))).toEqual([true, true]);
    // The felling ends on 18 Dec 2026.
    expect(await on(addDays(isoDate('2026-12-18'), 90))).toEqual([true, true]);
    expect(await on(addDays(isoDate('2026-12-18'), 91))).toEqual([false, true]);
  });
});

describe('two independent readers', () => {
  it('find the same tasks in every feed', async () => {
    for (const ending of endings) {
      const text = await feed(ending);
      const byIcalJs = new ICAL.Component(ICAL.parse(text) as unknown[])
        .getAllSubcomponents('vevent')
        .map((part) => new ICAL.Event(part))
        .map((event) => [event.uid, event.summary, event.startDate.toString()])
        .sort();
      const byNodeIcal = Object.values(ical.sync.parseICS(text))
        .flatMap((part) => (part?.type === 'VEVENT' ? [part] : []))
        .map((event) => {
          const day = event.start;
          const pad = (value: number) => String(value).padStart(2, '0');
          const date = `${day.getFullYear()}-${pad(day.getMonth() + 1)}-${pad(day.getDate())}`;
          return [event.uid, event.summary, date];
        })
        .sort();
      expect(byNodeIcal).toEqual(byIcalJs);
      expect(byIcalJs.length).toBeGreaterThan(0);
    }
  });
});
