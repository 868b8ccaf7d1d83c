import type { Block } from '../core/blocks.ts';
import { unitsOf } from '../core/chains.ts';
import { type IsoDate, yearOf } from '../core/dates.ts';
import type { Operation } from '../core/operation.ts';
import type { Problem } from '../core/problems.ts';
import { leafOutByYear } from '../core/season/leaf-out.ts';
import { burnNeedOf, lightingRateOf, prescriptionHours } from '../core/weather/burn-size.ts';
import { dailyOfHours } from '../core/weather/daily-of-hours.ts';
import { type FitDayRule, rainByDay, type StationClock } from '../core/weather/fit-days.ts';
import { fitHoursOf, wholeSeasons } from '../core/weather/fit-hours.ts';
import type { DailyYear, StationSummary, WeatherYear } from '../core/weather/history.ts';
import { hoursOfEither, hoursOfHistory, hoursOfReadings } from '../core/weather/hours.ts';
import type { FitHours } from '../core/weather/past-years.ts';
import {
  type PastWeather,
  type PastYearsResult,
  pastYearsTest,
} from '../core/weather/past-years-land.ts';
import type { Prescription } from '../core/weather/prescriptions.ts';
import { blockConditions, siteKeyOf } from '../core/weather/sites.ts';
import { nearestOf } from '../core/weather/stations.ts';
import { standardOffsetMinutes } from '../exchange/time-zone.ts';
import { utcSeconds } from '../storage/changes.ts';
import type { DayWeather, Deps, PastYearsRunState } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

/** A slice of work stays short, so that pages are answered in between. */
const sliceMs = 15;
const seedDefault = 1;

function nearestStation(
  file: OperationFile,
  operation: Operation,
  propertyId: number,
): StationSummary | null {
  const property = operation.properties.find((one) => one.id === propertyId);
  const stations = file.store.weather.stations().filter((station) => station.hours > 0);
  return property ? nearestOf(stations, property) : null;
}

/** The rule for a block under a prescription. */
function ruleOf(
  file: OperationFile,
  operation: Operation,
  block: Block,
  prescription: Prescription,
): FitDayRule {
  return {
    prescription,
    block: blockConditions(operation, block),
    tables: file.library.weatherTables,
  };
}

/**
 * Leaf-out of a past year at a property by the first model of the table, for a canopy of any place; each year is worked
 * out once, when it is asked for. Days are cut at the ends of the UTC year: no leaf opens on New Year's Day.
 */
function pastLeafOuts(
  file: OperationFile,
  operation: Operation,
  years: readonly WeatherYear[],
  clock: StationClock,
): PastWeather['leafOutOf'] {
  const [model] = file.library.weatherTables.leafOutModels;
  const days = new Map<number, DailyYear[]>();
  const known = new Map<string, IsoDate | null>();
  return (propertyId, year) => {
    const key = `${propertyId} ${year}`;
    const found = known.get(key);
    if (found !== undefined) return found;
    const hours = years.filter((one) => one.year === year);
    const daily = days.get(year) ?? dailyOfHours(hours, clock).filter((one) => one.year === year);
    days.set(year, daily);
    const property = operation.properties.find((one) => one.id === propertyId);
    const date =
      model && property ? (leafOutByYear(model, daily, property)[0]?.date ?? null) : null;
    known.set(key, date);
    return date;
  };
}

/** Weather of the history and the sizes of blocks, for the past-years test; null = no history with whole seasons. */
function pastWeather(file: OperationFile, operation: Operation): PastWeather | null {
  const [first] = operation.properties;
  const station = first ? nearestStation(file, operation, first.id) : null;
  if (!station) return null;
  const years = file.store.weather.loadYears(station.name);
  const seasons = wholeSeasons(years);
  const [from, to] = [seasons[0], seasons.at(-1)];
  if (from === undefined || to === undefined) return null;
  const clock = { standardOffsetMinutes: standardOffsetMinutes(station.timeZone) };
  const daily = file.store.weather.loadDailyYears(station.name, from, to + 1);
  const weather = hoursOfHistory(years, daily, clock.standardOffsetMinutes);
  const rainOfDay = rainByDay(weather, clock);
  const counted = new Map<string, FitHours>();
  const blockOf = (id: number) => operation.blocks.find((one) => one.id === id);
  const prescriptionOf = (key: string) => operation.prescriptions.find((one) => one.key === key);
  const nothing: FitHours = { firstDay: 0, hours: new Uint8Array(0) };
  return {
    station: { name: station.name, isInvented: station.isInvented },
    seasons,
    *fitOf(blockId, prescriptionKey, asked) {
      const block = blockOf(blockId);
      const prescription = prescriptionOf(prescriptionKey);
      if (!block || !prescription) return nothing;
      const rule = ruleOf(file, operation, block, prescription);
      const key = rule.block ? siteKeyOf(prescription, rule.block) : prescription.key;
      const known = counted.get(key);
      if (known) return known;
      const found = yield* fitHoursOf(
        rule,
        weather,
        clock,
        { fromYear: from, toYear: to + 1, asked },
        rainOfDay,
      );
      counted.set(key, found);
      return found;
    },
    sizeOf: (blockId, prescriptionKey) => {
      const block = blockOf(blockId);
      const prescription = prescriptionOf(prescriptionKey);
      const acres = block
        ? unitsOf(operation, block).reduce((sum, unit) => sum + unit.areaAcres, 0)
        : 0;
      const hours = prescription ? prescriptionHours(prescription) : 5;
      return burnNeedOf(acres, lightingRateOf(operation, block?.propertyId ?? 0), hours);
    },
    leafOutOf: pastLeafOuts(file, operation, years, clock),
  };
}

function weatherOf(file: OperationFile, propertyId: number, day: IsoDate): DayWeather | null {
  const operation = file.operation();
  const station = nearestStation(file, operation, propertyId);
  if (!station) return null;
  const standardOffset = standardOffsetMinutes(station.timeZone);
  const years = file.store.weather.loadYears(station.name, yearOf(day) - 1, yearOf(day) + 1);
  const daily = file.store.weather.loadDailyYears(station.name, yearOf(day) - 1, yearOf(day) + 1);
  const observed = hoursOfHistory(years, daily, standardOffset);
  const newest = file.store.weather.forecast(station.name);
  const forecast = newest && day >= file.today(station.timeZone) ? newest : null;
  return {
    weather: forecast ? hoursOfEither(hoursOfReadings(forecast.hours), observed) : observed,
    clock: { standardOffsetMinutes: standardOffset },
    tables: file.library.weatherTables,
    stationName: station.name,
    isInvented: station.isInvented,
    forecast: forecast && {
      source: forecast.source,
      issuedAt: forecast.issuedAt,
      takenAt: forecast.takenAt,
    },
  };
}

const problem = (code: string, message: string): { ok: false; problems: Problem[] } => ({
  ok: false,
  problems: [{ code, message }],
});

/** One test at a time, in slices between the answers to pages. */
function pastYearsOf(file: OperationFile): Deps['burns']['pastYears'] {
  let state: PastYearsRunState | null = null;
  const keep = (own: PastYearsRunState, revision: number, result: PastYearsResult | null) => {
    if (!result) {
      const message = 'The plan has no burn to test.';
      Object.assign(own, { state: 'failed', problems: [{ code: 'no-burns', message }] });
      return;
    }
    file.store.burns.keepPastYears(own.planId, revision, result);
    Object.assign(own, { state: 'done', share: 1 });
  };
  const start: Deps['burns']['pastYears']['start'] = (planId) => {
    if (state?.state === 'running')
      return problem('test-running', 'A test runs already: stop it, or wait until it is done.');
    const plan = file.store.plans.find(planId);
    if (!plan) return problem('plan-gone', 'This plan is no longer there; look at the newest one.');
    const operation = file.operation();
    const weather = pastWeather(file, operation);
    if (!weather)
      return problem(
        'no-history',
        'There is no weather history with a whole burning season of hours: load one first.',
      );
    const revision = file.store.revision();
    const own: PastYearsRunState = { planId, state: 'running', share: 0, problems: [] };
    state = own;
    const steps = pastYearsTest(operation, plan.content, weather, seedDefault);
    const slice = (): void => {
      const until = performance.now() + sliceMs;
      while (own.state === 'running' && performance.now() < until) {
        const step = steps.next();
        if (step.done) keep(own, revision, step.value);
        else own.share = step.value.done / step.value.of;
      }
      if (own.state === 'running') setImmediate(guarded);
    };
    const guarded = (): void => {
      try {
        slice();
      } catch (error) {
        const message = error instanceof Error ? error.message : String(error);
        Object.assign(own, { state: 'failed', problems: [{ code: 'test-failed', message }] });
      }
    };
    setImmediate(guarded);
    return { ok: true, value: own };
  };
  return {
    run: () => state,
    start,
    stop: () => {
      if (state?.state === 'running') state.state = 'stopped';
    },
    kept: (planId) => {
      const kept = file.store.burns.pastYears(planId);
      if (!kept) return null;
      const { madeAt, changedSince, result } = kept;
      return { madeAt, isOld: changedSince.length > 0, result };
    },
  };
}

/** Starts the past-years test of the plan in force where its result is missing or older than the land. */
export function keepPastYearsFresh({ plans, burns }: Pick<Deps, 'plans' | 'burns'>): void {
  const plan = plans.inForce();
  if (!plan || burns.pastYears.run()?.state === 'running') return;
  const kept = burns.pastYears.kept(plan.id);
  // Without a whole season of hours there is nothing to test, and the page of the test says so.
  if (!kept || kept.isOld) burns.pastYears.start(plan.id);
}

/** Burn checks, county switches, go/no-go lists and the past-years test, as pages see them. */
export function webBurns(file: OperationFile): Deps['burns'] {
  const { burns } = file.store;
  return {
    now: () => utcSeconds(() => new Date()),
    switches: burns.switches,
    addSwitch: (row) => {
      burns.addSwitch(row);
      return [];
    },
    goNoGoLists: burns.goNoGoLists,
    addGoNoGo: burns.addGoNoGo,
    smokeRules: burns.smokeRules,
    saveSmokeRule: burns.saveSmokeRule,
    removeSmokeRule: burns.removeSmokeRule,
    weatherOf: (propertyId, day) => weatherOf(file, propertyId, day),
    pastYears: pastYearsOf(file),
  };
}
