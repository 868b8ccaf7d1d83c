import fc from 'fast-check';
import ICAL from 'ical.js';
import ical from 'node-ical';
import { describe, expect, it } from 'vitest';
import { cleanLine } from '../../src/feeds/content-lines.ts';
import { addFeedAddresses, renderFeed } from '../../src/feeds/ics.ts';
import { lintFeed } from './lint.ts';
import { fernhill, revisedAt, row, uidOf } from './rows.ts';

/** Names that people, or their spreadsheets, type. Every text of an entry goes through every variant of a feed. */
const hostile = [
  'A\r\nBEGIN:VEVENT\r\nUID:evil\r\nEND:VEVENT',
  'A\nEND:VCALENDAR',
  'x; y, z \\ "q"',
  'é'.repeat(200),
  `${'a'.repeat(66)}🔥`,
  'bell\u0007 nul\u0000 nel\u0085 ls\u2028',
  'lone \ud800 surrogate',
  `crew-task:${uidOf(1)}`,
  `\r\n crew-task:${uidOf(1)}\r\n`,
  `\u0000crew-task:${uidOf(1)}`,
  'ends in a backslash \\',
  '^n^\'"',
];
const anyText = fc.oneof(fc.constantFrom(...hostile), fc.string({ unit: 'binary', maxLength: 90 }));

describe('hostile names in every variant', () => {
  it('open no line, break no fold, and are read back as typed by two readers', () => {
    fc.assert(
      fc.property(anyText, anyText, anyText, fc.boolean(), (name, words, place, isCrew) => {
        const rows = [
          row(1, '2027-03-10', '2027-03-14', {
            summary: `N1: ${name}`,
            description: [words, 'Plan only.'],
            place: { latitude: 37.2, longitude: -92.1, words: `x${place}` },
          }),
        ];
        const kept = renderFeed({ ...fernhill, title: name, description: words }, rows, {
          baseUrl: 'https://land.example',
          sourceUrl: null,
          revisedAt,
          hasAlarms: true,
          hasToDos: true,
          leadsToCrewPages: isCrew,
        });
        const text = addFeedAddresses(
          kept,
          'https://land.example/feed/t/n.ics',
          isCrew ? 'https://land.example/crew/t/tasks' : null,
        );
        expect(lintFeed(new TextEncoder().encode(text))).toEqual([]);
        const calendar = new ICAL.Component(ICAL.parse(text) as unknown[]);
        const events = calendar.getAllSubcomponents('vevent');
        expect(events).toHaveLength(2);
        expect(calendar.getAllSubcomponents('vtodo')).toHaveLength(1);
        expect(events[1]?.getAllSubcomponents('valarm')).toHaveLength(1);
        expect(events[1]?.getFirstPropertyValue('summary')).toBe(
          `TENTATIVE: ${cleanLine(`N1: ${name}`)}`,
        );
        expect(String(events[1]?.getFirstPropertyValue('url'))).toBe(
          isCrew
            ? `https://land.example/crew/t/tasks/${uidOf(1)}`
            : 'https://land.example/units/1#task-fell-1',
        );
        const uids = Object.values(ical.sync.parseICS(text)).flatMap((part) =>
          part?.type === 'VEVENT' ? [part.uid] : [],
        );
        expect(uids).toContain(uidOf(1));
        expect(uids).toHaveLength(2);
      }),
      { numRuns: 100 },
    );
  });

  it('a kept text holds no address of its own and no token', () => {
    const kept = renderFeed(fernhill, [row(1, '2027-03-10', '2027-03-14', {})], {
      baseUrl: 'https://land.example',
      sourceUrl: null,
      revisedAt,
      leadsToCrewPages: true,
    });
    expect(kept).not.toMatch(/SOURCE|\/feed\/|\/crew\//);
    expect(kept.match(/\r\n crew-task:[0-9a-f-]{36}\r\n/g)).toHaveLength(2);
    expect(kept).not.toContain('\0');
  });
});
