import type { Block } from '../../core/blocks.ts';
import { unitsOf } from '../../core/chains.ts';
import type { Operation } from '../../core/operation.ts';
import { type Followers, spreadOf, sumOfFollowers } from '../../core/weather/fit-day-figures.ts';
import type { StationSummary } from '../../core/weather/history.ts';
import type { SiteFitDays, SiteYear } from '../../core/weather/site-fit-days.ts';
import { siteOfUnit, slowestUnit } from '../../core/weather/sites.ts';
import type { BlockFitDays } from '../deps.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { halfName, type LimitLine, limitLines } from './burn-days.ts';

/** A cell of the picture: the number, its bar and the days that could not be judged. */
export interface FitDayCell {
  fitDays: number;
  unknownDays: number;
}

export interface SpreadLine {
  name: string;
  mean: string;
  p10: string;
  p90: string;
}

export interface FollowLine {
  month: string;
  afterFit: string;
  afterUnfit: string;
}

export interface BlockFitDaysModel {
  id: number;
  title: string;
  place: { path: string; words: string } | null;
  /** Ground, limits and prescription that the days were judged by. */
  judgedBy: LimitLine[];
  /** Said in place of figures while there are none. */
  missing: { words: string; path: string; linkWords: string } | null;
  isCounting: boolean;
  monthNames: readonly string[];
  figures: {
    stationWords: string;
    isInvented: boolean;
    unknownWords: string;
    /** Years without hours, in a sentence; empty = none. */
    dailyOnlyWords: string;
    years: { year: string; isWhole: boolean; cells: FitDayCell[]; total: number }[];
    spreads: { name: string; months: string[]; total: string }[];
    halves: SpreadLine[];
    followWords: string;
    follows: FollowLine[];
  } | null;
}

const fuelWords = { grass: 'grass', litter: 'leaf litter' } as const;

function groundWords(operation: Operation, block: Block): string {
  const unit = slowestUnit(operation, block);
  if (!unit) return 'no unit';
  const { aspect, slopePercent, canopyPercent, fuel } = siteOfUnit(block, unit);
  const own = block.burnLimits.canopyPercent === null ? ', usual for its natural community' : '';
  const slope = [
    aspect === null ? 'level or aspect not known' : `${aspect} slope`,
    slopePercent === null ? null : `${words.number(slopePercent)} %`,
  ].filter((part) => part !== null);
  const several =
    unitsOf(operation, block).length > 1 ? `${unit.code}, the unit that dries last: ` : '';
  return `${several}${slope.join(', ')}; ${fuelWords[fuel]} under ${words.number(canopyPercent)} % canopy${own}`;
}

function judgedBy(operation: Operation, block: Block): LimitLine[] {
  const prescription = operation.prescriptions.find((one) => one.key === block.prescriptionKey);
  if (!prescription) return [];
  const { windFrom, gustMphMost } = block.burnLimits;
  return [
    { name: 'Prescription', words: prescription.name },
    ...limitLines(prescription),
    { name: 'Ground', words: groundWords(operation, block) },
    { name: 'Wind from', words: windFrom === null ? 'any sector' : windFrom.join(', ') },
    {
      name: 'Gusts, block',
      words:
        gustMphMost === null ? 'no limit of its own' : `at most ${words.number(gustMphMost)} mph`,
    },
    { name: 'Daylight', words: 'only hours between sunrise and sunset at the property' },
  ];
}

const monthsOf = (halves: readonly number[]) =>
  Array.from({ length: 12 }, (_, month) => (halves[month * 2] ?? 0) + (halves[month * 2 + 1] ?? 0));
const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);

function spreadRows(years: readonly SiteYear[]) {
  const months = years.map((one) => monthsOf(one.fitDays));
  const columns = [
    ...Array.from({ length: 12 }, (_, month) => months.map((row) => row[month] ?? 0)),
    years.map((one) => sum(one.fitDays)),
  ].map(spreadOf);
  const row = (name: string, of: 'p10' | 'mean' | 'p90') => {
    const figures = columns.map((one) => words.number(one?.[of] ?? 0));
    return { name, months: figures.slice(0, 12), total: figures[12] ?? '' };
  };
  return [row('P10', 'p10'), row('Mean', 'mean'), row('P90', 'p90')];
}

function halfLines(years: readonly SiteYear[]): SpreadLine[] {
  return Array.from({ length: 24 }, (_, half) => {
    const spread = spreadOf(years.map((one) => one.fitDays[half] ?? 0));
    return {
      name: halfName(half + 1),
      mean: words.number(spread?.mean ?? 0),
      p10: words.number(spread?.p10 ?? 0),
      p90: words.number(spread?.p90 ?? 0),
    };
  });
}

function shareWords({ days, fit }: Followers): string {
  return days === 0 ? 'no such day' : `${fit} of ${days} (${Math.round((100 * fit) / days)} %)`;
}

function dailyOnlyWords(years: readonly number[]): string {
  if (years.length === 0) return '';
  const [first, last] = [Math.min(...years), Math.max(...years)];
  const span =
    first === last
      ? `The year ${first} holds`
      : `${words.count(years.length, 'year')} of ${first} to ${last} hold`;
  return `${span} daily readings only: without hourly humidity and wind all their days are unknown, so they are not in the figures.`;
}

function figuresOf(
  station: StationSummary,
  { years, followers }: SiteFitDays,
  dailyOnlyYears: readonly number[],
): NonNullable<BlockFitDaysModel['figures']> {
  const whole = years.filter((one) => one.isWholeYear);
  const meant = whole.length > 0 ? whole : years;
  const unknown = sum(years.map((one) => sum(one.unknownDays)));
  const all = {
    fit: sumOfFollowers(followers.afterFit),
    unfit: sumOfFollowers(followers.afterUnfit),
  };
  return {
    stationWords: `${station.name}, ${years[0]?.year ?? ''} to ${years.at(-1)?.year ?? ''}, ${words.count(whole.length, 'whole year')}`,
    isInvented: station.isInvented,
    unknownWords:
      unknown === 0
        ? 'Every day could be judged.'
        : `${words.count(unknown, 'day')} could not be judged because a reading that matters is missing; an unknown day is never fit.`,
    dailyOnlyWords: dailyOnlyWords(dailyOnlyYears),
    years: years.map((one) => {
      const unknownDays = monthsOf(one.unknownDays);
      const cells = monthsOf(one.fitDays).map((fitDays, month) => ({
        fitDays,
        unknownDays: unknownDays[month] ?? 0,
      }));
      return {
        year: String(one.year),
        isWhole: one.isWholeYear,
        cells,
        total: sum(one.fitDays),
      };
    }),
    spreads: spreadRows(meant),
    halves: halfLines(meant),
    followWords: `After a fit day the next was fit in ${shareWords(all.fit)}; after an unfit day in ${shareWords(all.unfit)}.`,
    follows: words.monthNames.map((month, index) => ({
      month,
      afterFit: shareWords(followers.afterFit[index] ?? { days: 0, fit: 0 }),
      afterUnfit: shareWords(followers.afterUnfit[index] ?? { days: 0, fit: 0 }),
    })),
  };
}

function missingOf(found: BlockFitDays): BlockFitDaysModel['missing'] {
  if (found.state === 'no-prescription')
    return {
      words: 'The block has no prescription, so there is nothing to judge a day by.',
      path: '/units',
      linkWords: 'Choose its unit and give the block a prescription',
    };
  if (found.state === 'no-hours')
    return {
      words: 'No hourly weather history is loaded, so past days cannot be judged for this block.',
      path: '/burn-days',
      linkWords: 'See the fit days by month that the plan counts on',
    };
  return null;
}

/** Fit days of one block in past years: how many, how sure, how they cluster. Throws 404 for a block that is not there. */
export function blockFitDaysModel(
  operation: Operation,
  blockId: number,
  found: BlockFitDays,
): BlockFitDaysModel {
  const block = operation.blocks.find((one) => one.id === blockId);
  if (!block) throw new PageError(404, 'There is no block at this address.');
  const unit = unitsOf(operation, block)[0];
  const name =
    block.name === '' || block.name === block.code ? block.code : `${block.code} ${block.name}`;
  return {
    id: block.id,
    title: `Fit days of ${name}`,
    place: unit ? { path: `/units/${unit.id}`, words: `${unit.code} ${unit.name}` } : null,
    judgedBy: judgedBy(operation, block),
    missing: missingOf(found),
    isCounting: found.state === 'counting',
    monthNames: words.monthNames,
    figures:
      found.state === 'counted'
        ? figuresOf(found.station, found.counts, found.dailyOnlyYears)
        : null,
  };
}
