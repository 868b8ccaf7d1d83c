import type { LeafOutModel } from '../season/leaf-out.ts';
import type { DryingDays } from './drying.ts';
import type { FineFuelTables } from './fine-fuel.ts';
import type { FuelModel } from './spread.ts';

/** Reference tables of weather and fire, as data: what is from memory there can be put right from print. */
export interface WeatherTables extends FineFuelTables {
  dryingDays: readonly DryingDays[];
  leafOutModels: readonly LeafOutModel[];
  fuelModels: readonly FuelModel[];
}

export const noWeatherTables: WeatherTables = {
  fineFuelMoisture: [],
  fineFuelCorrections: [],
  dryingDays: [],
  leafOutModels: [],
  fuelModels: [],
};
