import fc from 'fast-check';
import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import type { PublishedTask } from '../../src/core/publication.ts';
import { cleanLine, escapeText, foldLine } from '../../src/feeds/content-lines.ts';
import { addFeedAddresses, feedEtag, renderFeed } from '../../src/feeds/ics.ts';
import { lintFeed } from './lint.ts';
import { fernhill, revisedAt, row, rows, sawCrew, uidOf } from './rows.ts';

const options = { baseUrl: 'https://land.example', sourceUrl: null, revisedAt };
const lint = (text: string) => lintFeed(new TextEncoder().encode(text));
const unfolded = (text: string) => text.replaceAll('\r\n ', '').split('\r\n');

/** Events as the independent parser reads them, without the permanent one. */
function readBack(text: string) {
  return new ICAL.Component(ICAL.parse(text) as unknown[])
    .getAllSubcomponents('vevent')
    .map((component) => new ICAL.Event(component))
    .filter((event) => !event.summary.startsWith('About this feed'));
}

describe('golden files', () => {
  it.each([
    ['property.ics', fernhill, rows],
    ['nothing-planned.ics', sawCrew, []],
  ] as const)('%s', async (file, scope, published) => {
    const text = renderFeed(scope, published, options);
    await expect(text).toMatchFileSnapshot(`../fixtures/feeds/${file}`);
    expect(lint(text)).toEqual([]);
  });

  it('keeps a component when nothing is planned: some programs keep old events otherwise', () => {
    const text = renderFeed(sawCrew, [], options);
    expect(text.match(/BEGIN:VEVENT/g)).toHaveLength(1);
    expect(text).toContain('SUMMARY:About this feed: Saw contract\r\n');
  });
});

describe('read back by ical.js', () => {
  it('finds the same tasks with the same days', () => {
    const found = readBack(renderFeed(fernhill, rows, options));
    expect(
      found.map((event) => [
        event.uid,
        event.startDate.toString(),
        event.endDate.toString(),
        event.startDate.isDate,
        event.sequence,
        event.component.getFirstPropertyValue('status'),
      ]),
    ).toEqual(
      rows.map((one) => [
        one.uid,
        one.entry.startsOn,
        one.entry.endsBefore,
        true,
        one.sequence,
        one.cancelledAt ? 'CANCELLED' : one.entry.status.toUpperCase(),
      ]),
    );
    expect(found[1]?.description.split('\n')).toEqual([
      'Tentative: the dates are a plan.',
      'When fit: one day, 1 to 14 Apr 2027.',
      'Roles: boss, lighter; holders, water',
      'Map: geo:37.200000,-92.100000',
      'Page: https://land.example/units/5#task-fell-1',
    ]);
  });

  it('stamps an entry with the revision of its row, never with now', () => {
    const lines = unfolded(renderFeed(fernhill, [rows[1] as PublishedTask], options));
    expect(lines).toContain('SEQUENCE:3');
    expect(lines.filter((line) => line === 'DTSTAMP:20261109T153000Z')).toHaveLength(2);
    expect(lines).toContain('LAST-MODIFIED:20261109T153000Z');
    expect(lines).toContain('CREATED:20261026T141000Z');
  });
});

describe('states', () => {
  const lines = unfolded(renderFeed(fernhill, rows, options)).join('\n');
  const eventOf = (number: number) =>
    lines.split('BEGIN:VEVENT').find((part) => part.includes(`\nUID:${uidOf(number)}\n`)) ?? '';

  it.each([
    [4, 'TENTATIVE', 'TENTATIVE: N4 Two Springs: fell cedar', 'TRANSPARENT', 'TENTATIVE'],
    [5, 'TENTATIVE', 'TENTATIVE: N4 Two Springs: burn (when fit)', 'TRANSPARENT', 'FREE'],
    [6, 'CONFIRMED', 'S1 Old orchard: spray\\, under way', 'OPAQUE', 'BUSY'],
    [7, 'CONFIRMED', 'Done 2 Oct: P1: photo points', 'TRANSPARENT', 'FREE'],
    [8, 'CANCELLED', 'CANCELLED: E1: make the line', 'TRANSPARENT', 'FREE'],
    [9, 'CANCELLED', 'CANCELLED: S2: fell cedar', 'TRANSPARENT', 'FREE'],
  ])('task %i is %s', (number, status, summary, transparency, busy) => {
    expect(eventOf(number)).toContain(`\nSTATUS:${status}\n`);
    expect(eventOf(number)).toContain(`\nSUMMARY:${summary}\n`);
    expect(eventOf(number)).toContain(`\nTRANSP:${transparency}\n`);
    expect(eventOf(number)).toContain(`\nX-MICROSOFT-CDO-BUSYSTATUS:${busy}\n`);
  });

  it('says why a tombstone is there', () => {
    expect(eventOf(9)).toContain('DESCRIPTION:Cancelled: no longer in the plan in force.\\n');
  });

  it('has no METHOD, alarm, time zone or calendar UID', () => {
    expect(lines).not.toMatch(/METHOD|VALARM|TZID|VTIMEZONE|TIMEZONE|ATTENDEE/);
    expect(lines.split('BEGIN:VEVENT')[0]).not.toMatch(/^UID/m);
  });
});

describe('relations, RFC 9253', () => {
  const events = (lag: number, successorOn: string) =>
    unfolded(
      renderFeed(
        fernhill,
        [
          row(1, '2027-03-10', '2027-03-14', {
            followedBy: [{ taskKey: 'block:2/cedar-woodland/burn/1/-', lagDaysLeast: lag }],
          }),
          row(2, successorOn, '2027-06-01', {}),
        ],
        options,
      ),
    ).filter((line) => line.startsWith('RELATED-TO'));

  it.each([
    [18, '2027-03-31', [`RELATED-TO;RELTYPE=FINISHTOSTART;GAP=P17D:${uidOf(2)}`]],
    [2, '2027-03-15', [`RELATED-TO;RELTYPE=FINISHTOSTART;GAP=P1D:${uidOf(2)}`]],
    [1, '2027-03-14', [`RELATED-TO;RELTYPE=FINISHTOSTART:${uidOf(2)}`]],
    [0, '2027-03-13', []],
  ])('lag %i days', (lag, successorOn, own) => {
    expect(events(lag, successorOn)).toEqual([...own, `RELATED-TO;RELTYPE=DEPENDS-ON:${uidOf(1)}`]);
  });

  it('names no task that the feed does not show or that is cancelled', () => {
    const first = row(1, '2027-03-10', '2027-03-14', {
      followedBy: [{ taskKey: 'block:2/cedar-woodland/burn/1/-', lagDaysLeast: 3 }],
    });
    const gone = row(2, '2027-04-01', '2027-04-02', {}, { cancelledAt: revisedAt });
    for (const published of [[first], [first, gone]])
      expect(renderFeed(fernhill, published, options)).not.toContain('RELATED-TO');
  });
});

describe('addresses', () => {
  it('shows the feed address only when served, and the page of a task only with a server', () => {
    const served = unfolded(
      renderFeed(fernhill, rows, { ...options, sourceUrl: 'https://land.example/feed/abc/n.ics' }),
    );
    expect(served).toContain('SOURCE;VALUE=URI:https://land.example/feed/abc/n.ics');
    expect(served).toContain('URL;VALUE=URI:https://land.example/units/4#task-fell-1');
    const file = renderFeed(fernhill, rows, { ...options, baseUrl: null });
    expect(file).not.toMatch(/SOURCE|URL|https?:/);
  });

  it('puts the address into a kept text, whatever its names say', () => {
    const scope = { ...fernhill, title: 'x\r\nBEGIN:VEVENT\r\ny $& $1' };
    const kept = renderFeed(scope, rows, options);
    const sourceUrl = `https://land.example/feed/${'t'.repeat(80)}/a,b;c.ics`;
    const served = addFeedAddresses(kept, sourceUrl, null);
    expect(served).toBe(renderFeed(scope, rows, { ...options, sourceUrl }));
    expect(lint(served)).toEqual([]);
    expect(unfolded(served)).toContain(`SOURCE;VALUE=URI:${sourceUrl}`);
  });

  it('refuses addresses that are not of the web', () => {
    expect(() =>
      renderFeed(fernhill, rows, { ...options, sourceUrl: 'data:text/plain,x' }),
    ).toThrow(/http/);
  });
});

describe('rows that cannot be right are refused', () => {
  it.each([
    ['zero length', row(1, '2027-03-10', '2027-03-10', {})],
    ['end before start', row(1, '2027-03-10', '2027-03-09', {})],
    ['no such day', row(1, '2027-02-28', '2027-02-28', { endsBefore: '2027-02-30' as never })],
    ['negative sequence', row(1, '2027-03-10', '2027-03-11', {}, { sequence: -1 })],
    ['half sequence', row(1, '2027-03-10', '2027-03-11', {}, { sequence: 1.5 })],
    ['local instant', row(1, '2027-03-10', '2027-03-11', {}, { revisedAt: '2026-10-26T14:10:00' })],
    ['empty uid', row(1, '2027-03-10', '2027-03-11', {}, { uid: '' })],
    ['uid with a line', row(1, '2027-03-10', '2027-03-11', {}, { uid: 'a\r\nBEGIN:VEVENT' })],
  ])('%s', (_name, wrong) => {
    expect(() => renderFeed(fernhill, [wrong], options)).toThrow(RangeError);
  });
});

describe('bytes', () => {
  it('are the same for the same rows, and the tag follows the bytes', () => {
    const text = renderFeed(fernhill, rows, options);
    expect(renderFeed(fernhill, structuredClone(rows), options)).toBe(text);
    expect(feedEtag(text)).toMatch(/^"[0-9a-f]{32}"$/);
    expect(feedEtag(new TextEncoder().encode(text))).toBe(feedEtag(text));
    expect(feedEtag(`${text} `)).not.toBe(feedEtag(text));
  });

  it('leave an untouched task alone when another one moves', () => {
    const partOf = (text: string, uid: string) =>
      text.split('BEGIN:VEVENT').find((part) => part.includes(`UID:${uid}`));
    const moved = rows.map((one) =>
      one.uid === uidOf(9)
        ? row(9, '2026-12-08', '2026-12-11', {}, { sequence: 2, revisedAt: '2026-11-10T08:00:00Z' })
        : one,
    );
    const [before, after] = [rows, moved].map((list) => renderFeed(fernhill, list, options));
    expect(partOf(after ?? '', uidOf(4))).toBe(partOf(before ?? '', uidOf(4)));
    expect(partOf(after ?? '', uidOf(9))).toContain('SEQUENCE:2');
  });
});

const hostile = [
  'A\r\nBEGIN:VEVENT',
  'A\nEND:VCALENDAR',
  'x; y, z \\ "q"',
  'é'.repeat(200),
  `${'a'.repeat(64)}🔥🔥`,
  `${'a'.repeat(65)}🔥`,
  `${'a'.repeat(66)}🔥`,
  'bell\u0007 nul\u0000 del\u007f nel\u0085 ls\u2028 ps\u2029 vt\u000b',
  'lone \ud800 and \udc00 surrogate',
  '\\n \\, \\;',
  'ends in a backslash \\',
  'UID:evil',
  ' leading space\tand tab',
];
const anyName = fc.oneof(
  fc.constantFrom(...hostile),
  fc.string({ unit: 'binary', maxLength: 120 }),
  fc.array(fc.constantFrom(...hostile), { maxLength: 3 }).map((parts) => parts.join('')),
);

describe('hostile names', () => {
  it('never break a line, a fold or an escape, and come back as typed', () => {
    fc.assert(
      fc.property(anyName, anyName, anyName, (summary, line, title) => {
        const scope = { ...fernhill, title, description: line };
        const place = { latitude: 0, longitude: 1e-7, words: title };
        const one = row(1, '2027-03-10', '2027-03-14', {
          summary: `x${summary}`,
          description: [line, 'last line'],
          place,
        });
        const text = renderFeed(scope, [one], options);
        expect(lint(text)).toEqual([]);
        const calendar = new ICAL.Component(ICAL.parse(text) as unknown[]);
        const events = calendar.getAllSubcomponents('vevent').map((part) => new ICAL.Event(part));
        expect(events).toHaveLength(2);
        expect(events[1]?.summary).toBe(`TENTATIVE: ${cleanLine(`x${summary}`)}`);
        expect(events[1]?.description.split('\n').slice(1, 3)).toEqual([
          cleanLine(line),
          'last line',
        ]);
        expect(calendar.getFirstPropertyValue('x-wr-calname')).toBe(
          unfolded(text)
            .find((part) => part.startsWith('X-WR-CALNAME:'))
            ?.slice('X-WR-CALNAME:'.length),
        );
        expect(calendar.getFirstPropertyValue('description')).toBe(cleanLine(line));
        expect(unfolded(text)).toContain('GEO:0.000000;0.000000');
      }),
      { numRuns: 150 },
    );
  });

  it('cleans and escapes', () => {
    expect(cleanLine('A\r\nBEGIN:VEVENT')).toBe('A BEGIN:VEVENT');
    expect(cleanLine('a\u0007b\tc\ud800d🔥')).toBe('ab\tc\ufffdd🔥');
    // Example of RFC 5545, section 3.3.11 (from memory), read the other way round.
    expect(escapeText('Project XYZ Final Review\nConference Room - 3B\nCome Prepared.')).toBe(
      'Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.',
    );
    expect(escapeText('x; y, z \\ "q": r')).toBe('x\\; y\\, z \\\\ "q": r');
  });

  it.each([73, 74, 75, 76, 77])('folds a flame that starts after %i octets', (octets) => {
    const line = `${'a'.repeat(octets)}🔥${'b'.repeat(100)}`;
    const physical = foldLine(line).split('\r\n').slice(0, -1);
    expect(Math.max(...physical.map((part) => Buffer.byteLength(part)))).toBeLessThanOrEqual(75);
    expect(physical.map((part, index) => (index === 0 ? part : part.slice(1))).join('')).toBe(line);
    expect(physical.slice(1).every((part) => part.startsWith(' '))).toBe(true);
  });
});

describe('the strict reading finds faults', () => {
  const good = renderFeed(fernhill, rows, options);
  it.each([
    ['bare LF', good.replace('\r\nVERSION', '\nVERSION'), 'bare CR or LF'],
    ['no last line end', good.slice(0, -2), 'does not end'],
    ['long line', good.replace('NAME:Fern', `NAME:${'x'.repeat(80)}Fern`), 'octets'],
    ['byte order mark', `\uFEFF${good}`, 'byte order mark'],
    ['control character', good.replace('Fern', 'F\u0007'), 'control character'],
    ['blank line', good.replace('VERSION', '\r\nVERSION'), 'blank line'],
    ['comma', good.replace('spray\\,', 'spray,'), 'comma not escaped'],
    ['semicolon', good.replace('lighter\\;', 'lighter;'), 'semicolon not escaped'],
    ['backslash', good.replace('spray\\,', 'spray\\x'), 'stray backslash'],
    ['method', good.replace('VERSION', 'METHOD:PUBLISH\r\nVERSION'), 'METHOD is not wanted'],
    ['calendar uid', good.replace('VERSION', 'UID:x\r\nVERSION'), 'calendar with a UID'],
    [
      'zero length',
      good.replace('DTEND;VALUE=DATE:20270314', 'DTEND;VALUE=DATE:20270310'),
      'DTEND not after',
    ],
    [
      'date-time',
      good.replace('DTSTART;VALUE=DATE:20270310', 'DTSTART:20270310T000000Z'),
      'not a DATE',
    ],
    [
      'local stamp',
      good.replace('DTSTAMP:20261026T141000Z', 'DTSTAMP:20261026T141000'),
      'DTSTAMP is not UTC',
    ],
    ['gap', good.replace('GAP=P17D', 'GAP=P40D'), 'inside the gap'],
    ['reversed relation', good.replace('DEPENDS-ON', 'FINISHTOSTART'), 'inside the gap'],
    ['unknown end', good.replace(`\nUID:${uidOf(5)}`, `\nUID:${uidOf(99)}`), 'not in the feed'],
    ['no prefix', good.replace('SUMMARY:CANCELLED: ', 'SUMMARY:'), 'no prefix'],
    ['busy plan', good.replace('TRANSP:TRANSPARENT', 'TRANSP:OPAQUE'), 'busy'],
    ['uid twice', good.replaceAll(uidOf(9), uidOf(8)), 'a UID twice'],
    ['unknown name', good.replace('VERSION', 'COLOUR:red\r\nVERSION'), 'unknown name'],
    [
      'escape in an address',
      good.replace(':https://land.example/units/4', ':https://land.example/units\\,4'),
      'plain web address',
    ],
    [
      'property after events',
      good.replace('END:VCALENDAR', 'X-A:1\r\nEND:VCALENDAR'),
      'outside its component',
    ],
  ])('%s', (_name, broken, fault) => {
    expect(broken).not.toBe(good);
    expect(lint(broken).join('\n')).toContain(fault);
  });
});
