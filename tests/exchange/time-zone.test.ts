import { IANAZone } from 'luxon';
import { expect, it } from 'vitest';
import { isTimeZone, standardOffsetMinutes } from '../../src/exchange/time-zone.ts';

// IANA time zone database; standard time, whichever hemisphere has summer time when.
it.each([
  ['America/Chicago', -360],
  ['America/New_York', -300],
  ['America/Phoenix', -420],
  ['America/St_Johns', -210],
  ['Pacific/Auckland', 720],
  ['Asia/Kolkata', 330],
  ['UTC', 0],
  ['Europe/London', 0],
])('standard time of %s is %d minutes ahead of UTC', (zone, minutes) => {
  expect(standardOffsetMinutes(zone)).toBe(minutes);
});

it.each(['America/Denver', 'America/Los_Angeles', 'America/Indiana/Knox', 'Australia/Sydney'])(
  'agrees with luxon on the winter offset of %s',
  (zone) => {
    const offsets = [Date.UTC(2024, 0, 1), Date.UTC(2024, 6, 1)].map((at) =>
      IANAZone.create(zone).offset(at),
    );
    expect(standardOffsetMinutes(zone)).toBe(Math.min(...offsets));
  },
);

it('refuses an unknown zone', () => {
  expect(() => standardOffsetMinutes('Mars/Olympus')).toThrow(RangeError);
});

it.each([
  ['America/Chicago', true],
  ['UTC', true],
  ['Mars/Olympus', false],
  ['', false],
])('"%s" is a zone: %s', (name, isZone) => {
  expect(isTimeZone(name)).toBe(isZone);
});
