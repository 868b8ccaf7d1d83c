import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webBurns } from '../../src/cli/web-burns.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { landModel } from '../../src/core/schedule/land-model.ts';
import { planContent } from '../../src/core/schedule/plan.ts';
import { searchCounted } from '../../src/core/schedule/search.ts';
import type { WeatherYear } from '../../src/core/weather/history.ts';

const today = isoDate('2026-11-25');

/** A made-up year: dry, mild and steady on two days of three, wet on the third. */
function weatherYear(year: number): WeatherYear {
  const hours = year % 4 === 0 ? 8784 : 8760;
  const column = (of: (day: number) => number) =>
    Int16Array.from({ length: hours }, (_, at) => of(Math.floor(at / 24)));
  return {
    year,
    temperatureC10: column(() => 150),
    dewPointC10: column((day) => (day % 3 === 0 ? 140 : 50)),
    windMs10: column(() => 40),
    windDirectionDegrees: column(() => 200),
    rainMm10: column(() => 0),
  };
}

function openSample(years: number[]) {
  const file = openOperationFile(':memory:', today);
  file.store.replaceLand(sampleLand(today));
  if (years.length > 0) {
    const place = { name: 'Test station', latitude: 37, longitude: -92, isInvented: true };
    file.store.weather.saveStation({ ...place, timeZone: 'America/Chicago' });
    file.store.weather.saveYears(place.name, years.map(weatherYear));
  }
  const operation = file.operation();
  const problem = landModel(operation, file.horizon(operation), null);
  const run = { seed: 1, iterations: 50, seconds: 0, version: '' };
  const choice = searchCounted(problem.model, 1, run.iterations).best().choice;
  const content = planContent(operation, problem, choice, run);
  const plan = file.store.plans.saveDraft(content, file.store.revision());
  return { file, plan, burns: webBurns(file) };
}

async function untilOver(burns: ReturnType<typeof webBurns>): Promise<void> {
  while (burns.pastYears.run()?.state === 'running')
    await new Promise((resolve) => setImmediate(resolve));
}

describe('the past-years test behind the pages', () => {
  test('runs in slices, keeps its result with the plan, and is old once the land changes', async () => {
    const { file, plan, burns } = openSample([2017, 2018, 2019]);
    const started = burns.pastYears.start(plan.id);
    expect(started.ok).toBe(true);
    expect(burns.pastYears.run()).toMatchObject({ state: 'running', share: 0 });
    expect(burns.pastYears.start(plan.id).ok).toBe(false);
    await untilOver(burns);
    expect(burns.pastYears.run()).toMatchObject({ state: 'done', share: 1, problems: [] });
    const kept = burns.pastYears.kept(plan.id);
    expect(kept).toMatchObject({ isOld: false, result: { trials: 2, fromSeason: 2017 } });
    expect(kept?.result.burns.length).toBe(
      plan.content.tasks.filter((task) => task.isWhenFit).length,
    );
    expect(kept?.result.burns.some((burn) => burn.chance.done > 0)).toBe(true);
    file.store.holdDates(plan.content.tasks[0]!.key, isoDate('2027-02-01'));
    expect(burns.pastYears.kept(plan.id)?.isOld).toBe(true);
    file.close();
  });

  test('a stop ends it at once and keeps nothing', async () => {
    const { file, plan, burns } = openSample([2017, 2018, 2019]);
    burns.pastYears.start(plan.id);
    await new Promise((resolve) => setImmediate(resolve));
    burns.pastYears.stop();
    await untilOver(burns);
    expect(burns.pastYears.run()?.state).toBe('stopped');
    expect(burns.pastYears.kept(plan.id)).toBeNull();
    file.close();
  });

  test.each([
    ['no station', []],
    ['no whole burning season', [2017, 2019]],
  ])('with %s it says what is missing', (_name, years) => {
    const { file, plan, burns } = openSample(years);
    const started = burns.pastYears.start(plan.id);
    expect(started).toMatchObject({ ok: false, problems: [{ code: 'no-history' }] });
    expect(burns.pastYears.run()).toBeNull();
    file.close();
  });

  test('a plan that is gone is named', () => {
    const { file, burns } = openSample([]);
    expect(burns.pastYears.start(99)).toMatchObject({
      ok: false,
      problems: [{ code: 'plan-gone' }],
    });
    file.close();
  });
});

describe('the weather of a day', () => {
  const hour = (at: string, windMs: number) => ({
    at,
    temperatureC: 12,
    rhPercent: 45,
    windMs,
    gustMs: 7,
    windFromDegrees: 200,
    rainMm: 0,
    snowCm: 0,
  });

  test('is what was observed for a past day, the forecast from today on, with who said it and when', () => {
    const { file, burns } = openSample([2019]);
    expect(burns.weatherOf(1, isoDate('2019-03-06'))).toMatchObject({
      stationName: 'Test station',
      isInvented: true,
      forecast: null,
    });
    file.store.weather.saveForecast({
      stationName: 'Test station',
      source: 'typed by hand',
      issuedAt: '2026-11-25T12:00:00Z',
      takenAt: '2026-11-25T12:05:00Z',
      hours: [hour('2026-11-25T18:00Z', 5)],
    });
    const found = burns.weatherOf(1, today);
    expect(found?.forecast).toEqual({
      source: 'typed by hand',
      issuedAt: '2026-11-25T12:00:00Z',
      takenAt: '2026-11-25T12:05:00Z',
    });
    const at = (Date.UTC(2026, 10, 25, 18) / 3_600_000) | 0;
    expect(found?.weather.reading(at).windMs).toBe(5);
    expect(found?.weather.reading(at + 1).windMs).toBeNull();
    expect(burns.weatherOf(1, isoDate('2019-03-06'))?.forecast).toBeNull();
    file.close();
  });

  test('without a station there is none', () => {
    const { file, burns } = openSample([]);
    expect(burns.weatherOf(1, today)).toBeNull();
    file.close();
  });
});
