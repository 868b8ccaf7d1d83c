import { describe, expect, test } from 'vitest';
import { type CountySwitch, switchStandings } from '../../src/core/county-switches.ts';

const marl = { state: 'MO', county: 'Marl' };

function check(own: Partial<CountySwitch>): CountySwitch {
  return {
    id: 1,
    ...marl,
    kind: 'burn-ban',
    isOn: false,
    since: null,
    checkedBy: 'T. Arden',
    checkedAt: '2026-11-09T12:00:00Z',
    note: '',
    ...own,
  };
}

describe('the county switches', () => {
  test.each<[string, CountySwitch[], string, string]>([
    ['never checked', [], '2026-11-09T13:00:00Z', 'never-checked'],
    ['off and checked 12 hours ago', [check({})], '2026-11-10T00:00:00Z', 'off'],
    ['off, but a second more than 12 hours ago', [check({})], '2026-11-10T00:00:01Z', 'old'],
    ['on, however old', [check({ isOn: true })], '2026-12-24T00:00:00Z', 'on'],
    ['of another county', [check({ county: 'Sedge' })], '2026-11-09T13:00:00Z', 'never-checked'],
    ['of another state', [check({ state: 'KS' })], '2026-11-09T13:00:00Z', 'never-checked'],
    ['another switch', [check({ kind: 'red-flag' })], '2026-11-09T13:00:00Z', 'never-checked'],
    [
      'on, then off by a newer check',
      [check({ id: 2, checkedAt: '2026-11-09T12:30:00Z' }), check({ isOn: true })],
      '2026-11-09T13:00:00Z',
      'off',
    ],
    [
      'two checks in one second: the later row holds',
      [check({ id: 2, isOn: true }), check({ id: 1 })],
      '2026-11-09T13:00:00Z',
      'on',
    ],
  ])('%s', (_name, switches, now, state) => {
    const standing = switchStandings(switches, marl, now).find((one) => one.kind === 'burn-ban');
    expect(standing?.state).toBe(state);
  });

  test('there is a line for each kind, with its age in hours', () => {
    const lines = switchStandings([check({})], marl, '2026-11-09T15:30:00Z');
    expect(lines.map((line) => line.kind)).toEqual(['burn-ban', 'red-flag', 'drought-stop']);
    expect(lines[0]?.hoursOld).toBeCloseTo(3.5, 6);
  });
});
