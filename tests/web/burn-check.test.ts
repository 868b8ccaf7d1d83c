import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { goNoGoQuestions } from '../../src/core/go-no-go.ts';
import type { WeatherYear } from '../../src/core/weather/history.ts';
import { hoursOfHistory } from '../../src/core/weather/hours.ts';
import { noWeatherTables } from '../../src/core/weather/tables.ts';
import { buildApp } from '../../src/web/app.ts';
import type { DayWeather } from '../../src/web/deps.ts';
import { answerField } from '../../src/web/forms/burn-check.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

/** Weather of 2026 at a station of the central zone: dry and mild, humid from 14 h on, a front in the night after. */
function dayWeather(own: Partial<DayWeather> = {}): DayWeather {
  const hours = 8760;
  const column = (of: (hour: number) => number) =>
    Int16Array.from({ length: hours }, (_, at) => of((at - 6 + 24) % 24));
  const year: WeatherYear = {
    year: 2026,
    temperatureC10: column((hour) => (hour >= 9 && hour <= 18 ? 150 : 60)),
    dewPointC10: column((hour) => (hour >= 14 ? 140 : 40)),
    windMs10: column(() => 40),
    windDirectionDegrees: column((hour) => (hour >= 20 ? 330 : 225)),
    rainMm10: column(() => 0),
  };
  return {
    weather: hoursOfHistory([year]),
    clock: { standardOffsetMinutes: -360 },
    tables: noWeatherTables,
    stationName: 'Invented station',
    isInvented: true,
    forecast: null,
    ...own,
  };
}

const day = '2026-11-09';
const path = (block = 1) => `/burn-check?block=${block}&day=${day}`;
const allYes = Object.fromEntries(goNoGoQuestions.map(({ key }) => [answerField(key), 'yes']));

function rowsOf(page: Awaited<ReturnType<typeof getPage>>, selector: string): string[] {
  return page.root
    .querySelectorAll(selector)
    .map((row) => row.textContent.replace(/\s+/g, ' ').trim());
}

describe('the burn check of a block', () => {
  test('says each element of each hour, the best run and what ends it', async () => {
    const page = await getPage(buildApp(fakeDeps({ dayWeather: dayWeather() })), path());
    const rows = rowsOf(page, '.hours-check tbody tr');
    const humidity = rows.find((row) => row.startsWith('Relative humidity'));
    expect(humidity).toContain('in 48 in 48 in 48 out 94 out 94 out 94');
    expect(page.text).toContain('11:00 to 14:00, 3 hours in a row');
    expect(page.text).toContain('At 14:00 it ends: relative humidity out.');
    expect(page.text).toContain('a made-up history');
  });

  test('a missing reading is unknown, and the day is not inside its limits', async () => {
    const weather = dayWeather();
    const reading = weather.weather.reading;
    weather.weather = {
      ...weather.weather,
      reading: (hour) => ({ ...reading(hour), windMs: null }),
    };
    const page = await getPage(buildApp(fakeDeps({ dayWeather: weather })), path());
    expect(rowsOf(page, '.hours-check tbody tr').find((row) => row.startsWith('Wind'))).toContain(
      'unknown unknown unknown',
    );
    expect(page.text).toContain('not known: something it limits is missing');
  });

  test('shows the 72 hours after in rows, with the turn of the wind', async () => {
    const page = await getPage(buildApp(fakeDeps({ dayWeather: dayWeather() })), path());
    const rows = rowsOf(page, 'section[aria-labelledby="after"] tbody tr');
    expect(rows).toHaveLength(12);
    // From 14 h: steady; from 20 h: from 225 to 330 degrees within three hours, and colder since 19 h.
    expect(rows[0]).toMatch(/^9 Nov, 14:00 to 20:009unknown94SWnone$/);
    expect(rows[1]).toContain('wind shift and colder: a front');
    expect(rows[11]).toMatch(/^12 Nov, 08:00 to 14:00/);
  });

  test('without weather it says so and nothing is inside', async () => {
    const page = await getPage(buildApp(fakeDeps()), path());
    expect(page.status).toBe(200);
    expect(page.text).toContain('no weather for this day');
    expect(rowsOf(page, 'section[aria-labelledby="block"]')[0]).not.toContain('inside its limits');
  });

  test('a day or a block that is none shows all blocks of today', async () => {
    const page = await getPage(buildApp(fakeDeps()), '/burn-check?block=nine&day=2026-02-30');
    expect(page.status).toBe(200);
    expect(page.text).toContain('Blocks in order for 9 Nov 2026');
  });

  test('never says go, and names who decides', async () => {
    const page = await getPage(buildApp(fakeDeps({ dayWeather: dayWeather() })), path());
    expect(page.text).not.toMatch(/\bgo\b/i);
    expect(page.text).toContain('It never authorizes a burn.');
  });
});

describe('Today', () => {
  const forecast = {
    source: 'the county weather office',
    issuedAt: '2026-11-09T09:00:00Z',
    takenAt: '2026-11-09T09:05:00Z',
  };
  test('shows which blocks the forecast puts inside their limits in three days, with its age', async () => {
    const page = await getPage(buildApp(fakeDeps({ dayWeather: dayWeather({ forecast }) })), '/');
    const section = page.root.querySelector('section[aria-labelledby="three-days"]');
    const text = section?.textContent.replace(/\s+/g, ' ') ?? '';
    expect(text).toContain('Forecast of the county weather office, issued 9 Nov 2026, 09:00 UTC');
    expect(section?.querySelectorAll('h3')).toHaveLength(3);
    expect(text).toMatch(/N1 Dogtooth flat 11:00 to 14:00, 3 hours in a row; \d+ things missing/);
  });

  test('marks a forecast that is old', async () => {
    const deps = fakeDeps({ dayWeather: dayWeather({ forecast }), now: '2026-11-09T15:00:00Z' });
    expect((await getPage(buildApp(deps), '/')).text).not.toContain('old:');
    deps.state.now = '2026-11-09T16:30:00Z';
    expect((await getPage(buildApp(deps), '/')).text).toContain('09:00 UTC, old: 7 hours');
  });

  test('says when no forecast is loaded', async () => {
    const page = await getPage(buildApp(fakeDeps({ dayWeather: dayWeather() })), '/');
    expect(page.text).toContain('No forecast is loaded, so no day ahead is known.');
  });
});

describe('the county switches', () => {
  const check = {
    propertyId: '1',
    kind: 'burn-ban',
    standing: 'off',
    checkedBy: 'T. Arden',
    since: '',
  };
  test('are not ready until checked, and again after twelve hours', async () => {
    const deps = fakeDeps({ dayWeather: dayWeather() });
    const app = buildApp(deps);
    const before = await getPage(app, path());
    expect(before.text).toContain('never checked: not ready');
    const sent = await sendForm(app, '/burn-check/switches', {
      ...fieldsOf(before, '/burn-check/switches'),
      ...check,
    });
    expect(sent.status).toBe(303);
    const [row] = deps.state.switches;
    expect(row).toMatchObject({ county: 'Marl', kind: 'burn-ban', isOn: false, since: null });
    expect((await getPage(app, path())).text).toContain('off checked by T. Arden');
    deps.state.now = '2026-11-10T03:00:01Z';
    expect((await getPage(app, path())).text).toContain('more than 12 hours ago: not ready');
  });

  test('need a name; what was typed stays', async () => {
    const deps = fakeDeps();
    const page = await sendForm(buildApp(deps), '/burn-check/switches', {
      ...check,
      day,
      checkedBy: '',
      note: 'read on the county page',
    });
    expect(page.status).toBe(422);
    expect(page.text).toContain('Checked by: fill this in.');
    expect(page.root.querySelector('#switch-note')?.getAttribute('value')).toBe(
      'read on the county page',
    );
    expect(deps.state.switches).toEqual([]);
  });
});

describe('the smoke categories', () => {
  const rule = {
    day,
    blockId: '1',
    state: 'MO',
    name: 'poor',
    leastM2s: '0',
    isBurningAllowed: 'no',
    note: 'state rules',
  };
  test('are entered, used with the mixing height and transport wind, and removed', async () => {
    const deps = fakeDeps({ dayWeather: dayWeather() });
    const app = buildApp(deps);
    const typed = `${path()}&mixing=1700&transport=9`;
    expect((await getPage(app, typed)).text).toContain('no category entered for this state');
    expect((await sendForm(app, '/burn-check/smoke', rule)).status).toBe(303);
    const page = await getPage(app, typed);
    // 1,700 ft at 9 mph = 518.16 m at 4.02336 m/s = 2,085 m2/s, worked by hand.
    expect(page.text).toContain('2,085 square meters a second');
    expect(page.text).toContain('poor: burning is barred (state rules)');
    await sendForm(app, '/burn-check/smoke/1/removal', {});
    expect(deps.state.smokeRules).toEqual([]);
  });

  test('need a number; what was typed stays', async () => {
    const page = await sendForm(buildApp(fakeDeps()), '/burn-check/smoke', {
      ...rule,
      leastM2s: 'much',
    });
    expect(page.status).toBe(422);
    expect(page.text).toContain('From this ventilation up: write a number');
    expect(page.root.querySelector('#smoke-name')?.getAttribute('value')).toBe('poor');
  });
});

describe('the list before a burn', () => {
  const list = { blockId: '1', day, answeredBy: 'T. Arden', note: '' };
  test('all yes is kept and is still no leave to burn', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const sent = await sendForm(app, '/burn-check/lists', { ...list, ...allYes });
    expect(sent.status).toBe(303);
    expect(deps.state.goNoGoLists[0]).toMatchObject({ blockId: 1, day: isoDate(day) });
    const page = await getPage(app, String(sent.headers['location']));
    expect(page.text).toContain('every answer yes; the boss decides');
    expect(page.text).toContain('no leave to burn');
    expect((await getPage(app, '/worklog')).text).toContain('Lists answered before burns');
  });

  test('a blank, a no and a not known are stops', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const { [answerField('plan')]: _, ...rest } = allYes;
    const answers = { ...rest, [answerField('told')]: 'no', [answerField('smoke')]: 'unknown' };
    const sent = await sendForm(app, '/burn-check/lists', { ...list, ...answers });
    const page = await getPage(app, String(sent.headers['location']));
    expect(page.text).toContain('stop: 3 answers not yes');
    for (const words of ['not answered: stop', 'no: stop', 'not known: stop'])
      expect(page.text).toContain(words);
  });

  test('needs a name; the answers stay', async () => {
    const deps = fakeDeps();
    const page = await sendForm(buildApp(deps), '/burn-check/lists', {
      ...list,
      ...allYes,
      answeredBy: '',
    });
    expect(page.status).toBe(422);
    expect(page.text).toContain('Answered by: fill this in.');
    expect(page.root.querySelectorAll('.answers input[checked]')).toHaveLength(20);
    expect(deps.state.goNoGoLists).toEqual([]);
  });

  test.each(['/burn-check/lists/9', '/burn-check/lists/nine'])('%s is no page', async (at) => {
    expect((await getPage(buildApp(fakeDeps()), at)).status).toBe(404);
  });
});
