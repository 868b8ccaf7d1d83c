import { describe, expect, it, test } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { forecastAgeWords, yearSpans } from '../../src/web/pages/weather.ts';
import { fakeDeps, fakeImportRun } from '../support/fake-deps.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

const station = 'Invented station';
const stationUrl = `/weather/station?name=${encodeURIComponent(station)}`;

const hour = (at: string, rainMm: number | null) => ({
  at,
  temperatureC: 10,
  rhPercent: 40,
  windMs: 4.4704,
  gustMs: null,
  windFromDegrees: 225,
  rainMm,
  snowCm: null,
});

function withForecast(issuedAt: string) {
  const deps = fakeDeps();
  const now = deps.burns.now();
  const day = now.slice(0, 10);
  deps.state.forecast = {
    stationName: station,
    source: 'typed by hand',
    issuedAt,
    takenAt: issuedAt,
    hours: [21, 22, 23].map((at) => hour(`${day}T${at}:00Z`, 0.254)),
  };
  return { deps, now };
}

/** The weather form as browsers send it (RFC 7578). */
async function upload(
  deps: ReturnType<typeof fakeDeps>,
  fields: Record<string, string>,
  file: string,
) {
  const parts = Object.entries(fields).map(
    ([name, value]) => `--b\r\nContent-Disposition: form-data; name="${name}"\r\n\r\n${value}\r\n`,
  );
  parts.push(
    `--b\r\nContent-Disposition: form-data; name="file"; filename="hours.csv"\r\nContent-Type: text/csv\r\n\r\n${file}\r\n--b--\r\n`,
  );
  return buildApp(deps).inject({
    method: 'POST',
    url: '/weather/import',
    headers: { host: 'localhost', 'content-type': 'multipart/form-data; boundary=b' },
    payload: parts.join(''),
  });
}

const sound = {
  station: 'Airport',
  latitude: '39.3',
  longitude: '-94.7',
  timeZone: 'America/Chicago',
  format: 'csv',
  clock: 'utc',
  windHeight: '20-ft',
};

describe('stations', () => {
  it('says place, years and that the weather is invented', async () => {
    const page = await getPage(buildApp(fakeDeps()), '/weather');
    expect(page.status).toBe(200);
    const row = page.root.querySelector('tbody tr');
    expect(row?.textContent).toContain('invented weather');
    expect(row?.textContent).toContain('37.1 N, 92 W');
    expect(page.root.querySelector(`a[href="${stationUrl}"]`)).not.toBeNull();
  });

  it('says the age of the forecast, and when it is stale', async () => {
    const { deps, now } = withForecast('');
    deps.state.forecast!.issuedAt = now;
    expect((await getPage(buildApp(deps), '/weather')).text).toContain(
      'typed by hand, 0 minutes old',
    );
    deps.state.forecast!.issuedAt = '2020-01-01T00:00:00Z';
    expect((await getPage(buildApp(deps), '/weather')).text).toMatch(/days old, stale/);
  });

  it('shows the forecast of a station by three hours, blanks as unknown', async () => {
    const { deps, now } = withForecast('');
    deps.state.forecast!.issuedAt = now;
    const page = await getPage(buildApp(deps), stationUrl);
    const cells = page.root
      .querySelectorAll('section[aria-labelledby="forecast"] tbody tr td')
      .map((cell) => cell.textContent);
    // 10 C = 50 F; 4.4704 m/s = 10 mph; 3 x 0.254 mm = 0.03 in (NIST SP 811).
    expect(cells).toEqual(['50', '40', '10', 'unknown', '225', '0.03']);
  });

  it('an unknown station is no page', async () => {
    expect((await getPage(buildApp(fakeDeps()), '/weather/station?name=x')).status).toBe(404);
    expect((await getPage(buildApp(fakeDeps()), '/weather/forecast?station=x')).status).toBe(404);
  });
});

describe('a file', () => {
  it('is handed on with its station and rules', async () => {
    const deps = fakeDeps();
    const answer = await upload(deps, sound, 'time,wind_ms\n');
    expect([answer.statusCode, answer.headers.location]).toEqual([303, '/weather']);
    expect(deps.calls).toMatchObject([
      {
        name: 'weather.startImport',
        args: [
          {
            station: { name: 'Airport', latitude: 39.3, longitude: -94.7, isInvented: false },
            fileName: 'hours.csv',
            format: 'csv',
            clock: 'utc',
            windHeight: '20-ft',
          },
        ],
      },
    ]);
    const [order] = deps.calls[0]!.args as [{ bytes: Uint8Array }];
    expect(new TextDecoder().decode(order.bytes)).toBe('time,wind_ms\n');
  });

  it.each([
    ['station', { ...sound, station: ' ' }, 'x'],
    ['latitude', { ...sound, latitude: '91' }, 'x'],
    ['longitude', { ...sound, longitude: '' }, 'x'],
    ['file', sound, ''],
  ])(
    'without a sound %s is refused by name, and what was typed stays',
    async (field, fields, file) => {
      const deps = fakeDeps();
      const answer = await upload(deps, fields, file);
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain(`href="#weather-${field}"`);
      expect(answer.body).toContain('value="America/Chicago"');
      expect(deps.calls).toEqual([]);
    },
  );

  it('shows progress with a stop, then the report by line', async () => {
    const deps = fakeDeps();
    deps.state.weatherImport = fakeImportRun;
    const running = await getPage(buildApp(deps), '/weather');
    expect(running.root.querySelector('progress')?.getAttribute('value')).toBe('40');
    await sendForm(
      buildApp(deps),
      '/weather/import/stop',
      fieldsOf(running, '/weather/import/stop'),
    );
    expect(deps.calls).toEqual([{ name: 'weather.stopImport', args: [] }]);
    deps.state.weatherImport = {
      ...fakeImportRun,
      state: 'done',
      rows: 1200,
      rowsTaken: 1100,
      years: [2019, 2020],
      lines: [{ code: 'x', line: 7, message: 'left out: such rows hold an impossible value.' }],
    };
    const done = await getPage(buildApp(deps), '/weather');
    expect(done.text).toContain('1,100 of 1,200 rows taken in for Invented station');
    expect(done.text).toContain('2019 to 2020');
    expect(done.text).toContain('Line 7: left out');
  });
});

describe('a typed forecast', () => {
  it('is handed on in our units; a blank is unknown', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const path = `/weather/forecast?station=${encodeURIComponent(station)}`;
    const page = await getPage(app, path);
    const fields = fieldsOf(page, '/weather/forecast', {
      'd1-h12-temperature': '50',
      'd1-h12-wind': '10',
      'd1-h12-rain': '0.1',
    });
    const answer = await sendForm(app, '/weather/forecast', fields);
    expect([answer.status, answer.headers['location']]).toEqual([303, stationUrl]);
    const [name, parts] = deps.calls[0]!.args as [
      string,
      { fromHour: number; date: string; reading: Record<string, number | null> }[],
    ];
    expect(name).toBe(station);
    expect(parts).toHaveLength(18);
    const known = parts.filter((part) =>
      Object.values(part.reading).some((value) => value !== null),
    );
    expect(known).toHaveLength(1);
    expect(known[0]?.fromHour).toBe(12);
    expect(known[0]?.reading['temperatureC']).toBeCloseTo(10);
    expect(known[0]?.reading['windMs']).toBeCloseTo(4.4704);
    expect(known[0]?.reading['rainMm']).toBeCloseTo(2.54);
    expect(known[0]?.reading['rhPercent']).toBeNull();
  });

  it('names day, hours and field of what cannot be', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const page = await getPage(app, `/weather/forecast?station=${encodeURIComponent(station)}`);
    const answer = await sendForm(
      app,
      '/weather/forecast',
      fieldsOf(page, '/weather/forecast', { 'd0-h9-rh': '140' }),
    );
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Day 1, 9 to 12 h, Humidity, %: write a number of 100 or less.');
    expect(answer.root.querySelector('#forecast-d0-h9-rh')?.getAttribute('value')).toBe('140');
    expect(deps.calls).toEqual([]);
  });
});

describe('the service', () => {
  it('is off at first, and is saved', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const page = await getPage(app, '/weather');
    expect(page.root.querySelector('input[name="isOn"]')?.hasAttribute('checked')).toBe(false);
    const fields = fieldsOf(page, '/weather/service', {
      isOn: 'yes',
      contact: 'steward@example.org',
    });
    expect((await sendForm(app, '/weather/service', fields)).status).toBe(303);
    expect(deps.calls).toEqual([
      {
        name: 'weather.saveService',
        args: [{ isOn: true, address: 'https://api.weather.gov', contact: 'steward@example.org' }],
      },
    ]);
  });

  it('says in words why the last try failed', async () => {
    const deps = fakeDeps();
    deps.state.forecastFetch = {
      state: 'failed',
      problems: [{ code: 'x', message: 'The service did not answer.' }],
    };
    expect((await getPage(buildApp(deps), stationUrl)).text).toContain(
      'The service did not answer.',
    );
  });
});

test.each([
  [[], 'none'],
  [[2020], '2020'],
  [[2020, 2018, 2017], '2017 to 2018, 2020'],
])('years %j are %s', (years, said) => expect(yearSpans(years)).toBe(said));

test.each([
  ['2026-11-25T11:40:00Z', '20 minutes old'],
  ['2026-11-25T09:00:00Z', '3 hours old'],
  ['2026-11-20T12:00:00Z', '5 days old'],
])('a forecast of %s is %s', (issuedAt, said) => {
  const forecast = { stationName: station, source: 's', issuedAt, takenAt: issuedAt, hours: [] };
  expect(forecastAgeWords(forecast, '2026-11-25T12:00:00Z')).toBe(said);
});
