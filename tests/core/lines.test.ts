import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { type LineKind, type LineKindRule, lineGoodUntil } from '../../src/core/lines.ts';
import { readinessOf } from '../../src/core/readiness.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';

const kinds: LineKindRule[] = JSON.parse(
  readFileSync(new URL('../../shared/line-kinds.json', import.meta.url), 'utf8'),
);

/** Leaf fall 5 November, green-up 20 March. */
const { anchors } = fakeOperation().properties[0]!;

describe('the last good day of a line', () => {
  // Days by kind are the table's own: our judgement, defaults to edit.
  const cases: [LineKind, string | null, string | null, string | null][] = [
    ['road', null, null, null],
    ['creek', '2020-01-01', null, null],
    ['blown', '2026-11-01', null, '2026-11-08'],
    ['blown', '2026-11-01', '2026-12-31', '2026-12-31'],
    ['road', '2026-11-01', '2026-12-31', '2026-12-31'],
    ['blown', null, null, null],
    ['disked', '2026-10-01', null, '2027-03-30'],
    // Green-up comes before the 180 days are over.
    ['mown', '2026-10-01', null, '2027-03-19'],
    ['mown', '2026-04-10', null, '2026-10-07'],
    // Leaves fall from 5 November on.
    ['black', '2026-10-20', null, '2026-11-04'],
    // Made on the day itself, the leaf fall of next year counts, and green-up and 60 days come sooner.
    ['black', '2026-11-05', null, '2027-01-04'],
    ['black', '2027-02-25', null, '2027-03-19'],
    ['green', '2026-09-01', null, '2027-09-01'],
  ];
  it.each(cases)('%s, made %s, entered %s: %s', (kind, readyOn, goodUntil, expected) => {
    const date = (text: string | null) => (text === null ? null : isoDate(text));
    const line = { kind, readyOn: date(readyOn), goodUntil: date(goodUntil) };
    expect(lineGoodUntil(line, kinds, anchors)).toBe(expected);
  });

  it('is not known for a kind without a row', () =>
    expect(
      lineGoodUntil({ kind: 'disked', readyOn: fakeToday, goodUntil: null }, [], anchors),
    ).toBeNull());
});

describe('readiness', () => {
  const linesOf = (change: (operation: ReturnType<typeof fakeOperation>) => void) => {
    const operation = fakeOperation();
    change(operation);
    const items = readinessOf(operation, operation.blocks[0]!, fakeToday);
    return items.find((item) => item.key === 'lines')!.isOnFile;
  };
  // The kind of the test's line holds for 10 days; today is 9 November.
  it.each([
    ['2026-10-30', true],
    ['2026-10-29', false],
  ])('a line made %s that says no last day is good: %s', (readyOn, isGood) =>
    expect(
      linesOf((it) => {
        it.lines[0]!.readyOn = isoDate(readyOn);
      }),
    ).toBe(isGood),
  );

  it.each([
    ['2026-10-30', true],
    ['2026-10-29', false],
  ])('line work logged %s holds as long as its kind: %s', (doneOn, isGood) =>
    expect(
      linesOf((it) => {
        it.entries.push(fakeEntry(91, 1, 'line-build', doneOn));
      }),
    ).toBe(isGood),
  );
});
