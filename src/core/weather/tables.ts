import type { DryingDays } from './drying.ts';
import type { FineFuelTables } from './fine-fuel.ts';

/** Reference tables of weather and fire, as data: what is from memory there can be put right from print. */
export interface WeatherTables extends FineFuelTables {
  dryingDays: readonly DryingDays[];
}

export const noWeatherTables: WeatherTables = {
  fineFuelMoisture: [],
  fineFuelCorrections: [],
  dryingDays: [],
};
