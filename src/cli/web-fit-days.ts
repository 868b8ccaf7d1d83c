import { createHash } from 'node:crypto';
import type { Block } from '../core/blocks.ts';
import { type IsoDate, toDay, yearOf } from '../core/dates.ts';
import type { Operation } from '../core/operation.ts';
import {
  type DayVerdict,
  dayJudge,
  type FitDayRule,
  prescriptionRule,
} from '../core/weather/fit-days.ts';
import type { StationSummary } from '../core/weather/history.ts';
import { hoursOfHistory } from '../core/weather/hours.ts';
import { type SiteCounter, siteCounter } from '../core/weather/site-fit-days.ts';
import { blockConditions, siteClassOf, siteKeyOf } from '../core/weather/sites.ts';
import { nearestOf } from '../core/weather/stations.ts';
import { standardOffsetMinutes } from '../exchange/time-zone.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { programVersion } from './version.ts';

/** A count that a block asks for. */
interface SiteCount {
  station: StationSummary;
  siteKey: string;
  rule: FitDayRule;
  digest: string;
}

/** The station whose hours a block is judged by: the one asked for, else the nearest to its property that has hours. */
function stationOf(
  operation: Operation,
  block: Block,
  stations: readonly StationSummary[],
  asked: string | null,
): StationSummary | null {
  const withHours = stations.filter((one) => one.hours > 0);
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const named = withHours.find((one) => one.name === asked);
  return named ?? (property ? nearestOf(withHours, property) : null);
}

function siteCountOf(
  file: OperationFile,
  operation: Operation,
  block: Block,
  station: StationSummary,
): SiteCount | null {
  const prescription = operation.prescriptions.find((one) => one.key === block.prescriptionKey);
  const conditions = blockConditions(operation, block);
  if (!prescription || !conditions) return null;
  const { fineFuelMoisture, fineFuelCorrections, dryingDays } = file.library.weatherTables;
  const tables = { fineFuelMoisture, fineFuelCorrections, dryingDays };
  const rule = { prescription, block: siteClassOf(prescription, conditions), tables };
  // Another version may judge days in another way.
  const text = JSON.stringify([programVersion, rule, station.timeZone]);
  const digest = createHash('sha256').update(text).digest('hex');
  return { station, siteKey: siteKeyOf(prescription, conditions), rule, digest };
}

function daysAt(
  file: OperationFile,
  propertyId: number,
  prescriptionKey: string,
  from: IsoDate,
  before: IsoDate,
): DayVerdict[] {
  const { prescriptions, properties } = file.operation();
  const prescription = prescriptions.find(({ key }) => key === prescriptionKey);
  const property = properties.find(({ id }) => id === propertyId);
  const { stations, loadYears, loadDailyYears } = file.store.weather;
  const station = property
    ? nearestOf(
        stations().filter(({ hours }) => hours > 0),
        property,
      )
    : null;
  if (!prescription || !station) return [];
  const clock = { standardOffsetMinutes: standardOffsetMinutes(station.timeZone) };
  // Rain of days before the first one, and hours of the last one in UTC, may lie in the years around.
  const [first, last] = [yearOf(from) - 1, yearOf(before) + 1];
  const weather = hoursOfHistory(
    loadYears(station.name, first, last),
    loadDailyYears(station.name, first, last),
    clock.standardOffsetMinutes,
  );
  const judge = dayJudge(prescriptionRule(prescription), weather, clock);
  const days = Math.max(0, toDay(before) - toDay(from));
  return Array.from({ length: days }, (_, at) => judge(toDay(from) + at));
}

/**
 * Counts of fit days by block. What is not kept yet is counted in the background, a year at a time between requests, and kept;
 * pages ask again. Blocks on like ground share a count.
 */
export function webFitDays(file: OperationFile): Deps['fitDays'] {
  const kept = file.store.siteFitDays;
  const waiting: SiteCount[] = [];
  let counter: { name: string; revision: number; counter: SiteCounter } | null = null;
  const nameOf = ({ station, siteKey, digest }: SiteCount) =>
    `${station.name} ${siteKey} ${digest}`;

  const counterOf = ({ station }: SiteCount): SiteCounter => {
    const revision = file.store.revision();
    if (counter?.name !== station.name || counter.revision !== revision) {
      const clock = { standardOffsetMinutes: standardOffsetMinutes(station.timeZone) };
      const years = file.store.weather.loadYears(station.name);
      const dailyYears = file.store.weather.loadDailyYears(station.name);
      counter = { name: station.name, revision, counter: siteCounter(years, dailyYears, clock) };
    }
    return counter.counter;
  };

  const countNext = (): void => {
    const next = waiting[0];
    // The database may have been closed meanwhile; there is nobody left to count for.
    if (!next || !file.store.isOpen()) {
      counter = null;
      return;
    }
    const countedFrom = file.store.revision();
    const steps = counterOf(next).count(next.rule);
    const step = (): void => {
      if (!file.store.isOpen()) return;
      const found = steps.next();
      if (!found.done) {
        setImmediate(step);
        return;
      }
      // Readings may have changed while they were counted: then it is counted again.
      if (file.store.revision() === countedFrom) {
        kept.save(next.station.name, next.siteKey, next.digest, found.value);
        waiting.shift();
      }
      setImmediate(countNext);
    };
    step();
  };

  const ask = (count: SiteCount): void => {
    if (waiting.some((one) => nameOf(one) === nameOf(count))) return;
    waiting.push(count);
    if (waiting.length === 1) setImmediate(countNext);
  };

  return {
    ofBlock: (blockId, stationName) => {
      const operation = file.operation();
      const block = operation.blocks.find((one) => one.id === blockId);
      if (!block) return { state: 'no-block' };
      const station = stationOf(operation, block, file.store.weather.stations(), stationName);
      if (!station) return { state: 'no-hours' };
      const count = siteCountOf(file, operation, block, station);
      if (!count) return { state: 'no-prescription' };
      const counts = kept.load(station.name, count.siteKey, count.digest);
      if (counts) {
        const held = file.store.weather.yearsHeld(station.name);
        const dailyOnlyYears = held.filter(({ hours, days }) => hours === 0 && days > 0);
        const years = dailyOnlyYears.map(({ year }) => year);
        return { state: 'counted', station, counts, dailyOnlyYears: years };
      }
      ask(count);
      return { state: 'counting', station };
    },
    daysAt: (propertyId, prescriptionKey, from, before) =>
      daysAt(file, propertyId, prescriptionKey, from, before),
  };
}
