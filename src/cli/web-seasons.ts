import { cureWeatherOf } from '../core/weather/cure-days.ts';
import { dailyOfHours } from '../core/weather/daily-of-hours.ts';
import type { DailyYear, StationSummary, WeatherYear } from '../core/weather/history.ts';
import { mergedYears } from '../core/weather/merge-years.ts';
import { nearestOf } from '../core/weather/stations.ts';
import { standardOffsetMinutes } from '../exchange/time-zone.ts';
import type { CureHistory, DailyWeather, Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

/** What was read for one station, kept until the next write. */
interface KeptStation {
  daily: DailyWeather | null;
  cure: CureHistory | null;
}

/** Days of the weather history nearest to a property, read again only after a write. */
export function webSeasons(file: OperationFile): Deps['seasons'] {
  const { weather } = file.store;
  let kept: { revision: number; stations: Map<string, KeptStation> } | null = null;

  const keptOf = (station: StationSummary): KeptStation => {
    const revision = file.store.revision();
    if (kept?.revision !== revision) kept = { revision, stations: new Map() };
    const found = kept.stations.get(station.name) ?? { daily: null, cure: null };
    kept.stations.set(station.name, found);
    return found;
  };
  const stationOf = (
    propertyId: number,
    isFor: (station: StationSummary) => boolean,
  ): StationSummary | null => {
    const property = file.operation().properties.find((one) => one.id === propertyId);
    return property ? nearestOf(weather.stations().filter(isFor), property) : null;
  };
  const hasHours = (station: StationSummary) => station.hours > 0;
  const hasDays = (station: StationSummary) =>
    hasHours(station) || weather.loadDailyYears(station.name).length > 0;
  const hoursOf = (station: StationSummary): WeatherYear[] => weather.loadYears(station.name);
  /** The daily record goes before what the hours give; each fills the gaps of the other. */
  const daysOf = (station: StationSummary): DailyYear[] => {
    const fromHours = dailyOfHours(hoursOf(station), clockOf(station));
    const recorded = weather.loadDailyYears(station.name);
    const years = new Map(fromHours.map((year) => [year.year, year]));
    for (const year of mergedYears(fromHours, recorded)) years.set(year.year, year);
    return [...years.values()].sort((a, b) => a.year - b.year);
  };
  const clockOf = (station: StationSummary) => ({
    standardOffsetMinutes: standardOffsetMinutes(station.timeZone),
  });

  return {
    leafOutModels: () => [...file.library.weatherTables.leafOutModels],
    dailyWeather: (propertyId) => {
      const station = stationOf(propertyId, hasDays);
      if (!station) return null;
      const own = keptOf(station);
      own.daily ??= { station, years: daysOf(station) };
      return own.daily;
    },
    cureHistory: (propertyId) => {
      const station = stationOf(propertyId, hasHours);
      if (!station) return null;
      const own = keptOf(station);
      own.cure ??= { station, weather: cureWeatherOf(hoursOf(station), clockOf(station)) };
      return own.cure;
    },
  };
}
