import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { type DailyYear, missingReading } from '../../src/core/weather/history.ts';
import { buildApp } from '../../src/web/app.ts';
import { springOf } from '../../src/web/pages/leaf-out.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { getPage, sendForm } from '../support/page.ts';

/** Every day 15 C: 10 degree days above 5 C, so 130 of them are reached on the 13th day from 1 April on. */
function warmYear(year: number, knownDays = 365): DailyYear {
  const column = (value: number) => new Int16Array(365).fill(value);
  const highC10 = column(200);
  const lowC10 = column(100);
  highC10.fill(missingReading, knownDays);
  lowC10.fill(missingReading, knownDays);
  const rest = {
    rainMm10: column(0),
    snowCm: column(0),
    windMs10: column(30),
    gustMs10: column(60),
  };
  return { year, highC10, lowC10, ...rest };
}

const station = {
  name: 'Invented station',
  latitude: 37.1,
  longitude: -92,
  timeZone: 'America/Chicago',
  fromYear: 2025,
  toYear: 2027,
  hours: 9000,
  isInvented: true,
};

function depsOn(today: string, years: DailyYear[] | null) {
  const dailyWeather = years === null ? null : { station, years };
  return fakeDeps({ today: isoDate(today), dailyWeather });
}

describe('the spring that is meant', () => {
  test.each([
    ['2027-01-05', 2027],
    ['2027-07-31', 2027],
    ['2027-08-01', 2028],
  ])('on %s: %d', (today, year) => expect(springOf(isoDate(today))).toBe(year));
});

describe('the page', () => {
  test('in fall it speaks of the next spring by the usual temperatures, with the wide error', async () => {
    const { text } = await getPage(buildApp(depsOn('2026-11-09', [warmYear(2025)])), '/leaf-out');
    expect(text).toContain('Leaf-out 2027');
    expect(text).toContain('Apr 2027, give or take 9 days');
    expect(text).toContain('from the usual temperatures of past years');
    expect(text).toContain('a made-up history');
  });

  test('the date firms up as the days of spring come in', async () => {
    const of = async (today: string, knownDays: number) => {
      const years = [warmYear(2025), warmYear(2027, knownDays)];
      const { text } = await getPage(buildApp(depsOn(today, years)), '/leaf-out');
      return /13 Apr 2027, give or take (\d+) days/.exec(text)?.[1];
    };
    // 0, 6 and all 13 of the days from 1 April to leaf-out are known: 9 - 5 * share days.
    expect([
      await of('2027-03-20', 79),
      await of('2027-04-07', 96),
      await of('2027-05-01', 120),
    ]).toEqual(['9', '7', '4']);
  });

  test('without temperatures the fit by latitude serves, with its larger error, and says why', async () => {
    const { text } = await getPage(buildApp(depsOn('2027-03-20', null)), '/leaf-out');
    expect(text).toContain('give or take 12 days');
    expect(text).toContain('from the latitude alone');
    expect(text).toContain('no weather history is loaded');
  });

  test('past years are a table with what was seen beside what was computed', async () => {
    const operation = fakeOperation();
    operation.properties[0]!.anchors.byYear.push({
      anchor: 'leaf-out',
      year: 2025,
      date: isoDate('2025-04-10'),
      how: 'observed',
    });
    const deps = depsOn('2027-03-20', [warmYear(2025), warmYear(2026)]);
    deps.state.operation = operation;
    const { root } = await getPage(buildApp(deps), '/leaf-out');
    const rows = root
      .querySelectorAll('details tbody')[0]
      ?.querySelectorAll('tr')
      .map((row) => row.querySelectorAll('th, td').map((cell) => cell.textContent));
    expect(rows).toEqual([
      ['2026', '13 Apr', 'not on record'],
      ['2025', '13 Apr, 3 days late', '10 Apr'],
    ]);
  });

  test('Settings and More lead there', async () => {
    for (const path of ['/settings', '/more']) {
      const { root } = await getPage(buildApp(fakeDeps()), path);
      expect(root.querySelector('a[href="/leaf-out"]')).not.toBeNull();
    }
  });
});

describe('what the windows hang on', () => {
  const years = [warmYear(2025), warmYear(2027, 120)];

  test('the computed day is taken over as computed', async () => {
    const deps = depsOn('2027-05-01', years);
    const { status } = await sendForm(buildApp(deps), '/leaf-out/1/computed', { model: 'warmth' });
    expect(status).toBe(303);
    expect(deps.calls).toEqual([
      {
        name: 'land.setAnchors',
        args: [
          1,
          [{ anchor: 'leaf-out', value: { year: 2027, date: '2027-04-13', how: 'computed' } }],
        ],
      },
    ]);
  });

  test('what was seen goes before what is computed', async () => {
    const deps = depsOn('2027-05-01', years);
    deps.state.operation.properties[0]!.anchors.byYear.push({
      anchor: 'leaf-out',
      year: 2027,
      date: isoDate('2027-04-20'),
      how: 'observed',
    });
    const { root } = await getPage(buildApp(deps), '/leaf-out');
    expect(root.querySelector('form[action="/leaf-out/1/computed"]')).toBeNull();
    const { status, text } = await sendForm(buildApp(deps), '/leaf-out/1/computed', {
      model: 'warmth',
    });
    expect(status).toBe(422);
    expect(text).toContain('drop the observed day first');
    expect(deps.calls).toEqual([]);
  });

  test('an observed day is saved; a day of another year or after today is not', async () => {
    const deps = depsOn('2027-05-01', years);
    const post = (observedOn: string) =>
      sendForm(buildApp(deps), '/leaf-out/1/observed', { observedOn, model: 'warmth' });
    expect((await post('2027-04-19')).status).toBe(303);
    expect(deps.calls.map(({ args }) => args[1])).toEqual([
      [{ anchor: 'leaf-out', value: { year: 2027, date: '2027-04-19', how: 'observed' } }],
    ]);
    for (const wrong of ['2026-04-19', '2027-05-02', 'soon', '']) {
      const { status, text } = await post(wrong);
      expect([wrong, status]).toEqual([wrong, 422]);
      expect(text).toContain('Leaf-out observed on:');
    }
    expect(deps.calls).toHaveLength(1);
  });

  test('back to the usual day drops the own one', async () => {
    const deps = depsOn('2027-05-01', years);
    await sendForm(buildApp(deps), '/leaf-out/1/usual', { model: 'warmth' });
    expect(deps.calls.map(({ args }) => args[1])).toEqual([
      [{ anchor: 'leaf-out', value: { year: 2027, date: null, how: 'observed' } }],
    ]);
  });

  test('a property that is not there is a 404', async () => {
    const { status } = await sendForm(buildApp(fakeDeps()), '/leaf-out/99/usual', { model: 'x' });
    expect(status).toBe(404);
  });
});
