import type { JobFormula } from '../job-figures.ts';

export const halvesFormula: JobFormula = {
  formula: 'humidity halves with every 20 °F of warming, and doubles with every 20 °F of cooling',
  status: 'published',
  source: 'Oklahoma State University Extension E-1010, fire weather section: the rule of halves.',
};

/** Relative humidity of the same air after warming by degrees F (cooling: below zero), percent, at most 100. */
export function humidityAfterWarming(rhPercent: number, warmingF: number): number {
  return Math.min(100, rhPercent * 2 ** (-warmingF / 20));
}

export const roughFuelFormula: JobFormula = {
  formula: 'fine dead fuel moisture, percent = humidity ÷ 5',
  status: 'published',
  source:
    'Texas prescribed burn handbook, table read in a copy (secondary). The program judges fit days by the fuller tables, not by this.',
};

/** A rough fine dead fuel moisture in percent. */
export function roughFineFuelPercent(rhPercent: number): number {
  return rhPercent / 5;
}

export const spotFormula: JobFormula = {
  formula: '21 of 99 burns had spot fires: all under 25 % humidity, 41.3 % under 40 %, 3.8 % above',
  status: 'published',
  source:
    'Weir 2007, spot fires of prescribed burns in Oklahoma, RMRS-P-47, pages 69 to 72. One study of one place: no forecast of a burn.',
};

/** Burns of the study, and those with spot fires. */
export const spotStudy = { burns: 99, spotted: 21 } as const;

/** Share of the burns of the study that had spot fires, percent, in the humidity class that holds the value. */
export function spottedPercent(rhPercent: number): number {
  if (rhPercent < 25) return 100;
  return rhPercent < 40 ? 41.3 : 3.8;
}
