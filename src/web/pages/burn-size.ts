import type { Block } from '../../core/blocks.ts';
import type { IsoDate } from '../../core/dates.ts';
import { toDay } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import {
  type BurnNeed,
  burnShapeOf,
  burnSizeOf,
  lightingRateOf,
} from '../../core/weather/burn-size.ts';
import { dayHoursDefault } from '../../core/weather/day-programme.ts';
import type { DayFinding, ElementName } from '../../core/weather/fit-days.ts';
import { hourUtcOfDay } from '../../core/weather/hours.ts';
import type { Prescription } from '../../core/weather/prescriptions.ts';
import { blockConditions, slowestUnit } from '../../core/weather/sites.ts';
import {
  dispersalFindings,
  knotFeetOf,
  type VentilationRule,
  ventilationCategory,
  ventilationM2s,
} from '../../core/weather/smoke.ts';
import type { FuelModel } from '../../core/weather/spread.ts';
import type { DayWeather } from '../deps.ts';
import * as words from '../words.ts';

export interface BurnSizeView {
  lines: { name: string; words: string }[];
  basis: string[];
  warnings: string[];
}

/** Figures the user reads from a forecast or the stand, typed on the page; null = left blank. */
export interface SizeQuery {
  smokeRules: readonly VentilationRule[];
  crownFeet: number | null;
  mixingFeet: number | null;
  transportMph: number | null;
}

const fineFuelDefaultPercent = 8;
/** Flame length that people with hand tools can face: handbook classes of fire behavior, read in a second copy. */
const handToolsFeetMost = 4;

/** Fuel model of the ground: hardwood litter, or tall grass. */
const modelKeys = { litter: 'model-9-hardwood-litter', grass: 'model-3-tall-grass' } as const;

function meanOf(
  finding: DayFinding | null,
  weather: DayWeather,
  prescription: Prescription,
  day: IsoDate,
) {
  const from = finding?.bestRun?.fromHour ?? prescription.fromHour;
  const until = finding?.bestRun?.untilHour ?? prescription.toHour + 1;
  const first = hourUtcOfDay(toDay(day), 0, weather.clock.standardOffsetMinutes);
  const hours = Array.from({ length: until - from }, (_, index) =>
    weather.weather.reading(first + from + index),
  );
  const mean = (of: 'temperatureC' | 'windMs') => {
    const known = hours.flatMap((hour) => hour[of] ?? []);
    return known.length === 0 ? null : known.reduce((sum, one) => sum + one, 0) / known.length;
  };
  return {
    temperatureC: mean('temperatureC'),
    windMs: mean('windMs'),
    windFromDegrees: hours.find((hour) => hour.windFromDegrees !== null)?.windFromDegrees ?? null,
  };
}

function elementValue(finding: DayFinding | null, element: ElementName): number | null {
  const values = (finding?.hours ?? [])
    .flatMap((hour) => hour.elements)
    .filter((one) => one.element === element)
    .flatMap((one) => one.value ?? []);
  return values.length === 0 ? null : Math.min(...values);
}

const hours = (value: number) => words.count(Math.round(value * 10) / 10, 'hour');
const feet = (value: number) => words.count(Math.round(value * 10) / 10, 'foot', 'feet');

function smokeLines({ mixingFeet, transportMph, smokeRules }: SizeQuery): BurnSizeView['lines'] {
  if (mixingFeet === null || transportMph === null) return [];
  const m2s = ventilationM2s(mixingFeet * 0.3048, transportMph * 0.44704);
  const category = ventilationCategory(m2s, smokeRules);
  const outside = dispersalFindings(mixingFeet, transportMph)
    .filter((one) => !one.isInside)
    .map((one) => one.element);
  return [
    {
      name: 'Ventilation',
      words: `${words.number(m2s, 0)} square meters a second (${words.number(knotFeetOf(m2s), 0)} knot-feet)`,
    },
    {
      name: 'Smoke category',
      words: category
        ? `${category.name}: burning ${category.isBurningAllowed ? 'is not barred by it' : 'is barred'}${category.note ? ` (${category.note})` : ''}`
        : 'no category entered for this state reaches it: ask the state or county',
    },
    {
      name: 'Guide to dispersal',
      words:
        outside.length === 0
          ? 'mixing height, transport wind and ventilation are inside the guide'
          : `outside the guide: ${words.list(outside)}`,
    },
  ];
}

function needLines(operation: Operation, block: Block, need: BurnNeed): BurnSizeView {
  const rate = lightingRateOf(operation, block.propertyId);
  const { setUp, secure } = dayHoursDefault;
  const dayHours = setUp * need.daysNeeded + need.lightHours + secure * need.daysNeeded;
  const from =
    rate.loggedBurns > 0
      ? `${words.count(rate.loggedBurns, 'logged burn')} of this property`
      : 'strips a chain apart by two lighters, common practice, no source';
  return {
    lines: [
      {
        name: 'Hours to light, to plan by',
        words: `${hours(need.lightHours)} at ${words.number(rate.acresAnHour)} acres an hour (${from})`,
      },
      {
        name: 'People',
        words: `at least ${words.number(block.burnPeopleLeast)}, about ${words.count(Math.round(dayHours * block.burnPeopleLeast), 'person-hour')} with set-up and securing; patrol comes on top`,
      },
    ],
    basis: [],
    warnings:
      need.daysNeeded > 1
        ? [
            `Its lighting takes longer than the hours of one day: it needs ${words.count(need.daysNeeded, 'day')}, or a smaller block. The planner keeps one day for it; the past-years test counts the days.`,
          ]
        : [],
  };
}

/** Size of a burn of the block on the day, as lines with what they rest on. */
export function burnSizeView(
  operation: Operation,
  block: Block,
  prescription: Prescription,
  finding: DayFinding | null,
  weather: DayWeather | null,
  need: BurnNeed,
  day: IsoDate,
  models: readonly FuelModel[],
  query: SizeQuery,
): BurnSizeView {
  const view = needLines(operation, block, need);
  view.lines.push(...smokeLines(query));
  const site = blockConditions(operation, block);
  const unit = slowestUnit(operation, block);
  const model = models.find((one) => site && one.key === modelKeys[site.site.fuel]);
  const mean = weather && meanOf(finding, weather, prescription, day);
  if (!site || !unit || !model || !mean || mean.temperatureC === null || mean.windMs === null) {
    view.basis.push('Spread, flame and scorch need the temperature and wind of the day.');
    return view;
  }
  const shape = burnShapeOf(operation, block, mean.windFromDegrees);
  const measured = elementValue(finding, 'fine-fuel-moisture');
  const month = day.slice(5);
  const temperatureF = mean.temperatureC * 1.8 + 32;
  const windMph = mean.windMs / 0.44704;
  const size = burnSizeOf(shape, {
    model,
    fuel: site.site.fuel,
    windMph,
    temperatureF,
    fineFuelPercent: measured ?? fineFuelDefaultPercent,
    slopePercent: site.site.slopePercent ?? 0,
    shelter: {
      canopyPercent: site.site.canopyPercent,
      isLeafOn: month >= site.leafOut && month < site.leafFall,
    },
  });
  const { crownFeet } = query;
  const crown =
    crownFeet === null
      ? ''
      : size.scorchFeet < crownFeet
        ? `, under the live crown at ${feet(crownFeet)}`
        : `, reaches the live crown at ${feet(crownFeet)}`;
  view.lines.push(
    { name: 'Backing, no interior line', words: hours(size.backingHours) },
    { name: 'Backing, three interior lines', words: hours(size.backingHoursThreeLines) },
    { name: 'Flanking, strips two chains apart', words: hours(size.flankingHours) },
    { name: 'Strip-head, strips one chain apart', words: hours(size.stripHeadHours) },
    {
      name: 'Spread',
      words: `heading ${words.number(size.headFeetMinute)}, backing ${words.number(size.backFeetMinute)} feet a minute`,
    },
    {
      name: 'Flame length',
      words: `heading ${feet(size.headFlameFeet)}, backing ${feet(size.backFlameFeet)}${size.headFlameFeet >= handToolsFeetMost ? '; a head of 4 feet or more is beyond hand tools' : ''}`,
    },
    {
      name: 'Scorch height of a heading fire',
      words: `${feet(size.scorchFeet)} at ${words.number(temperatureF, 0)} °F${crown}`,
    },
  );
  view.basis.push(
    `${shape.isMapped ? 'Outline' : 'A square of its acres'}: ${words.number(shape.depthChains * 66, 0)} feet along the wind, ${words.number(shape.widthChains * 66, 0)} feet across.`,
    `${model.name}; fine fuel at ${words.number(measured ?? fineFuelDefaultPercent, 0)} %${measured === null ? ' (taken, not computed)' : ''}; wind ${words.number(windMph, 0)} miles an hour at 10 m, ${words.number(size.inStandMph)} in the stand.`,
    'Rothermel 1972, Albini 1976, Byram 1959, Van Wagner 1973, all from memory, not re-read: planning figures. The signed burn plan and the boss decide.',
  );
  return view;
}
