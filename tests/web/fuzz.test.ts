import fc from 'fast-check';
import { afterEach, expect, test, vi } from 'vitest';
import { fuzzCase, injectionIn, runFuzz } from '../support/fuzz.ts';

afterEach(() => {
  vi.restoreAllMocks();
});

test('no form, file or address makes the server fail, and nothing gets through to pages, tables and feeds', async () => {
  const lines: string[] = [];
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    lines.push(...String(text).trimEnd().split('\n'));
    return true;
  });
  const findings = await runFuzz(fc.sample(fuzzCase, { numRuns: 400, seed: 8 }));
  expect(findings).toEqual([]);
  // One event a line, each of them JSON.
  expect(lines.filter((line) => !line.startsWith('{'))).toEqual([]);
});

test.each([
  ['text/html', '<p><b data-fuzz="1">x</b></p>', /markup/],
  ['text/html', '<input value="" onfuzz="1">', /markup/],
  ['text/html', '<p>&lt;b data-fuzz="1"&gt;</p>', null],
  ['text/csv', 'a,=1+1\r\n', /formula/],
  ['text/csv', "a,'=1+1,-2.5\r\n", null],
  ['text/calendar', 'BEGIN:VCALENDAR\r\nX-FUZZ:1\r\nEND:VCALENDAR\r\n', /line/],
])('the judge of %s sees what got through: %s', (type, body, found) => {
  const wrong = injectionIn(type, body);
  if (found) expect(wrong).toMatch(found);
  else expect(wrong).toBeNull();
});
