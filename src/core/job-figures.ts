import type { Source } from './sources.ts';

/** A formula of the page of job figures, in words, with where it comes from. */
export interface JobFormula extends Source {
  formula: string;
}

/** 43,560 square feet an acre over 5,280 feet a mile. */
const feetMilesPerAcre = 8.25;

export const machineFormula: JobFormula = {
  formula: 'acres an hour = miles an hour × feet of width × field efficiency ÷ 8.25',
  status: 'published',
  source:
    'Iowa State University Extension PM 696 (Ag Decision Maker A3-24), estimating the field capacity of farm machines; read in a copy. Efficiencies of its table: about 0.60 to 0.70.',
};

/** Effective field capacity in acres an hour. `efficiency`: share of the time that is worked at full width, 0 to 1. */
export function effectiveAcresAnHour(
  speedMph: number,
  widthFeet: number,
  efficiency: number,
): number {
  return (speedMph * widthFeet * efficiency) / feetMilesPerAcre;
}

export const seedFormula: JobFormula = {
  formula:
    'pure live seed = purity × germination; pounds to order = pounds of pure live seed × acres ÷ pure live seed',
  status: 'published',
  source:
    'U.S. Geological Survey, Northern Prairie Wildlife Research Center, grassland planting guide, table 4; Texas Department of Transportation, pure live seed. The tag of each lot says its purity and germination.',
};

/** Share of a lot that is seed of the kind and grows. Both in percent. */
export function pureLiveSeedShare(purityPercent: number, germinationPercent: number): number {
  return (purityPercent * germinationPercent) / 10_000;
}

/** Pounds of bulk seed for pounds of pure live seed an acre. */
export function bulkSeedPounds(
  pureLivePoundsAnAcre: number,
  areaAcres: number,
  purityPercent: number,
  germinationPercent: number,
): number {
  return (pureLivePoundsAnAcre * areaAcres) / pureLiveSeedShare(purityPercent, germinationPercent);
}

export const burnEffortFormula: JobFormula = {
  formula: 'person-hours = sum of people × hours of each part of the day; divided by the acres',
  status: 'published',
  source:
    'Account of the cost of a 26-acre oak woodland burn, 2013 (secondary): 68 person-hours, 2.6 hours an acre, line preparation not counted. Larger burns take fewer hours an acre.',
};

/** Person-hours of parts of a day, each with its people and hours. */
export function personHoursOf(parts: readonly { people: number; hours: number }[]): number {
  return parts.reduce((sum, { people, hours }) => sum + people * hours, 0);
}

/** The day of the published account: plan and call, travel and set-up, burn, mop-up, and two small parts. */
export const publishedBurnDay: readonly { people: number; hours: number }[] = [
  { people: 4, hours: 2.5 },
  { people: 12, hours: 0.5 },
  { people: 12, hours: 3 },
  { people: 12, hours: 1 },
  { people: 2, hours: 1 },
  { people: 2, hours: 1 },
];

export const lineRateFormula: JobFormula = {
  formula: 'hours = feet of line ÷ (feet an hour of a crew × crews); 1 chain = 66 feet',
  status: 'published',
  source:
    'National Wildfire Coordinating Group, Firefighter Math 9.8, production rates: a crew of 15 builds 900 feet an hour of 3-foot line in grass. A leaf blower on rocky slopes finishes about 0.2 to 0.4 miles a person-hour: common practice, no source.',
};

const feetPerChain = 66;

/** Hours of crews on a line. */
export function lineHours(lengthFeet: number, crewFeetAnHour: number, crews: number): number {
  return lengthFeet / (crewFeetAnHour * crews);
}

export function chainsOf(feet: number): number {
  return feet / feetPerChain;
}

export interface WidthRule extends JobFormula {
  key: 'fuel-height' | 'flame-length' | 'flame-height' | 'downwind';
  name: string;
  widthFeet: number;
}

/** What is known of the fuel beside a line and of the fire in it; null = not known, so that its rules give nothing. */
export interface LineFuel {
  fuelHeightFeet: number | null;
  flameLengthFeet: number | null;
  flameHeightFeet: number | null;
}

/** Widths of a firebreak by each published rule that what is known allows. */
export function firebreakWidths({
  fuelHeightFeet: fuel,
  flameLengthFeet: length,
  flameHeightFeet: height,
}: LineFuel): WidthRule[] {
  const status = 'published';
  const rules: (WidthRule | null)[] = [
    fuel === null
      ? null
      : {
          key: 'fuel-height',
          name: 'Twice the height of the fuel beside it',
          formula: '2 × fuel height, at least 4 feet',
          widthFeet: Math.max(4, 2 * fuel),
          status,
          source:
            'Natural Resources Conservation Service Missouri, Firebreak 394 guidance, February 2020 (copy).',
        },
    length === null
      ? null
      : {
          key: 'flame-length',
          name: 'Twice the expected flame length',
          formula: '2 × flame length, at least 6 feet',
          widthFeet: Math.max(6, 2 * length),
          status,
          source:
            'Natural Resources Conservation Service Florida, Firebreak 394 job sheet, 2003 (copy).',
        },
    height === null
      ? null
      : {
          key: 'flame-height',
          name: 'Twice the flame height',
          formula:
            '2 × flame height; about 20 feet in tallgrass, 10 in shortgrass, 4 in leaf litter',
          widthFeet: 2 * height,
          status,
          source: 'Missouri fire-needs report, Missouri Prescribed Fire Council, 2025.',
        },
    fuel === null
      ? null
      : {
          key: 'downwind',
          name: 'Downwind side: ten times the height of the fuel',
          formula: '10 × fuel height',
          widthFeet: 10 * fuel,
          status,
          source:
            'Iowa guidance on fire breaks, 2020 (secondary), 10 feet a foot of grass; the same rule in eXtension, fire prescription.',
        },
  ];
  return rules.filter((rule) => rule !== null);
}

export const hackFormula: JobFormula = {
  formula: 'cuts = one an inch of diameter at breast height, at least 2, rounded up',
  status: 'published',
  source:
    'Penn State Extension, hack-and-squirt, read in a secondary copy: cuts about 2 inches long. Rounding up is our own judgement. The label says the dose and comes first.',
};

/** Cuts into one stem. */
export function hackCuts(dbhInches: number): number {
  return Math.max(2, Math.ceil(dbhInches - 1e-9));
}
