import type { Database } from 'better-sqlite3';
import { daysInMonth } from '../core/dates.ts';
import type { FitDayDefault, Library } from '../core/library.ts';
import type { Problem } from '../core/problems.ts';
import type { Property } from '../core/properties.ts';
import type { FitDayCount, Station } from '../core/weather/history.ts';
import type { Prescription } from '../core/weather/prescriptions.ts';
import { milesBetween } from '../core/weather/stations.ts';
import type { FitDayTable, SupplyLevel } from '../core/weather/supply.ts';
import type { ChangeLog } from './changes.ts';
import type { FitDaySeries } from './weather.ts';

/** Fewer whole years than this say too little of a place. */
export const wholeYearsLeast = 3;

const levelWords: Record<SupplyLevel, string> = {
  half: 'half of years',
  '7-of-10': '7 of 10 years',
  '9-of-10': '9 of 10 years',
};

/**
 * The count of fit days that enough years reached. `half`: the median, the mean of the two middle years where
 * their number is even. Else the largest count that at least 7 (or 9) of 10 years reached. Empirical
 * exceedance without interpolation: with few years it takes the lower, the careful, figure.
 */
export function reachedInYears(counts: readonly number[], level: SupplyLevel): number {
  const falling = [...counts].sort((a, b) => b - a);
  const middle = Math.floor(falling.length / 2);
  if (level === 'half')
    return falling.length % 2 === 1
      ? falling[middle]!
      : (falling[middle - 1]! + falling[middle]!) / 2;
  const tenths = level === '7-of-10' ? 7 : 9;
  return falling[Math.ceil((tenths * falling.length) / 10) - 1]!;
}

interface NearSeries {
  station: Station;
  years: FitDayCount[];
  miles: number;
}

/** The nearest station that has enough whole years; stations of the same distance by name. */
function nearestSeries(series: readonly FitDaySeries[], property: Property): NearSeries | null {
  const near = series
    .map(({ station, counts }) => ({
      station,
      years: counts.filter((count) => count.isWholeYear),
      miles: milesBetween(property, station),
    }))
    .filter(({ years }) => years.length >= wholeYearsLeast)
    .sort((a, b) => a.miles - b.miles || (a.station.name < b.station.name ? -1 : 1));
  return near[0] ?? null;
}

function overHalves(monthly: readonly number[]): number[] {
  return monthly.flatMap((days) => [days / 2, days / 2]);
}

function fromHistory(key: string, near: NearSeries, level: SupplyLevel): FitDayTable {
  const { station, years, miles } = near;
  const halves = Array.from({ length: 24 }, (_, half) =>
    reachedInYears(
      years.map((year) => year.halfMonths[half] ?? 0),
      level,
    ),
  );
  const span = `${years[0]!.year} to ${years.at(-1)!.year}`;
  const invented = station.isInvented ? 'invented weather of ' : '';
  const label =
    `counted from ${invented}${station.name}, ${Math.round(miles)} miles away, ` +
    `${years.length} whole years ${span}, reached in ${levelWords[level]}`;
  return { prescriptionKey: key, fitDays: halves, origin: 'history', label };
}

function fromDefault(key: string, row: FitDayDefault | undefined): FitDayTable {
  const label = !row
    ? 'no figures: enter fit days by month or load a weather history'
    : row.status === 'published'
      ? `default by month: ${row.source}`
      : `default by month, ${row.status === 'default-to-edit' ? 'to edit' : 'common practice'}`;
  const fitDays = overHalves(row?.monthly ?? Array<number>(12).fill(0));
  return { prescriptionKey: key, fitDays, origin: 'entered', label };
}

/** Where the tables of an operation come from. */
export interface FitDaySources {
  property: Property | null;
  level: SupplyLevel;
  entered: ReadonlyMap<string, number[]>;
  seriesOf(prescriptionKey: string): FitDaySeries[];
}

/**
 * One table for each prescription that work is planned by. In this order: figures entered by hand (they win
 * over history because the user said so), counts of the nearest station with at least 3 whole years, the
 * published default by month. Monthly figures are split evenly over the two half-months.
 */
export function fitDayTables(library: Library, sources: FitDaySources): FitDayTable[] {
  const tableOf = ({ key }: Prescription): FitDayTable => {
    const monthly = sources.entered.get(key);
    if (monthly)
      return {
        prescriptionKey: key,
        fitDays: overHalves(monthly),
        origin: 'entered',
        label: 'entered by hand',
      };
    const near = sources.property && nearestSeries(sources.seriesOf(key), sources.property);
    if (near) return fromHistory(key, near, sources.level);
    return fromDefault(
      key,
      library.fitDayDefaults.find((row) => row.prescriptionKey === key),
    );
  };
  return library.prescriptions.filter(({ use }) => use === 'work').map(tableOf);
}

function checkMonthly(monthly: readonly number[]): Problem[] {
  if (monthly.length !== 12) {
    const message = 'Fit days: give 12 figures, January first.';
    return [{ code: 'fit-days-count', field: 'monthly', message }];
  }
  return monthly.flatMap((days, month) => {
    const most = daysInMonth(2024, month + 1);
    if (days >= 0 && days <= most) return [];
    const message = `Fit days, month ${month + 1}: give a number from 0 to ${most}.`;
    return [{ code: 'fit-days-range', field: `monthly.${month}`, message }];
  });
}

/** Fit days by month that the user entered. */
export function enteredFitDayRepository(db: Database, changes: ChangeLog) {
  const list = db.prepare<[], { key: string; days: number }>(
    'SELECT prescription_key AS key, days FROM entered_fit_days ORDER BY prescription_key, month',
  );
  const insert = db.prepare(
    'INSERT INTO entered_fit_days (prescription_key, month, days) VALUES (?, ?, ?)',
  );
  const drop = db.prepare('DELETE FROM entered_fit_days WHERE prescription_key = ?');
  const set = (prescriptionKey: string, monthly: number[] | null): Problem[] => {
    const problems = monthly ? checkMonthly(monthly) : [];
    if (problems.length > 0) return problems;
    drop.run(prescriptionKey);
    for (const [month, days] of (monthly ?? []).entries())
      insert.run(prescriptionKey, month + 1, days);
    changes.note(
      'rules',
      monthly
        ? `Fit days of ${prescriptionKey} were entered by hand.`
        : `Fit days of ${prescriptionKey} entered by hand were taken back.`,
    );
    return [];
  };
  return {
    /** Twelve figures by prescription. */
    entered: (): Map<string, number[]> => {
      const tables = new Map<string, number[]>();
      for (const { key, days } of list.all()) tables.set(key, [...(tables.get(key) ?? []), days]);
      return tables;
    },
    setFitDays: db.transaction(set).immediate,
    clear: (): void => {
      db.exec('DELETE FROM entered_fit_days');
    },
  };
}
