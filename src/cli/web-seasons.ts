import { dailyOfHours } from '../core/weather/daily-of-hours.ts';
import { nearestOf } from '../core/weather/stations.ts';
import { standardOffsetMinutes } from '../exchange/time-zone.ts';
import type { DailyWeather, Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

/** Days of the weather history nearest to a property, read again only after a write. */
export function webSeasons(file: OperationFile): Deps['seasons'] {
  const { weather } = file.store;
  let known: { revision: number; byProperty: Map<number, DailyWeather | null> } | null = null;
  const read = (propertyId: number): DailyWeather | null => {
    const property = file.operation().properties.find((one) => one.id === propertyId);
    const stations = weather.stations().filter((one) => one.hours > 0);
    const station = property ? nearestOf(stations, property) : null;
    if (!station) return null;
    const clock = { standardOffsetMinutes: standardOffsetMinutes(station.timeZone) };
    return { station, years: dailyOfHours(weather.loadYears(station.name), clock) };
  };
  return {
    leafOutModels: () => [...file.library.weatherTables.leafOutModels],
    dailyWeather: (propertyId) => {
      const revision = file.store.revision();
      if (known?.revision !== revision) known = { revision, byProperty: new Map() };
      const before = known.byProperty.get(propertyId);
      if (before !== undefined) return before;
      const found = read(propertyId);
      known.byProperty.set(propertyId, found);
      return found;
    },
  };
}
