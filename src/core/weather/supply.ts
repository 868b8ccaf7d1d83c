/** Level at which the count of past years is taken: half of years reached it, 7 of 10, 9 of 10. */
export type SupplyLevel = 'half' | '7-of-10' | '9-of-10';

/** How many days of each half-month (24 figures, 1-15 January first) are fit, and where the figures come from. */
export interface FitDayTable {
  prescriptionKey: string;
  fitDays: number[];
  /** `history`: counted from a weather history; `entered`: the editable table by month, labelled so. */
  origin: 'history' | 'entered';
  /** Station and years, or "entered by hand". */
  label: string;
}

export interface SupplySettings {
  level: SupplyLevel;
  /** Share of weekdays that the burn people work, 0 to 1. */
  weekdayShare: number;
  /** Share of fit days really used, 0 to 1; starts at 0.4 and is learned. */
  usedShare: number;
}

export const supplySettingsDefault: SupplySettings = {
  level: 'half',
  weekdayShare: 5 / 7,
  usedShare: 0.4,
};
