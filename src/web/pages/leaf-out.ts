import { addDays, daysBetween, type IsoDate, isoDate, toDay, yearOf } from '../../core/dates.ts';
import type { Property } from '../../core/properties.ts';
import {
  dailyMeans,
  forSpecies,
  type LeafOutEstimate,
  type LeafOutModel,
  leafOutByYear,
  leafOutEstimate,
  usualDailyMeans,
} from '../../core/season/leaf-out.ts';
import { type AnchorName, anchorDate, anchorNames } from '../../core/seasons.ts';
import type { DailyWeather, Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { sourceWords } from './sequences.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import type { FilterLink } from './year.ts';

export interface PropertyLeafOut {
  id: number;
  property: string;
  year: number;
  /** "9 Apr 2027, give or take 9 days". */
  estimateWords: string;
  basisWords: string;
  stationWords: string;
  isInvented: boolean;
  /** What the windows hang on now. */
  inUseWords: string;
  isObserved: boolean;
  /** False before the year of that spring: nothing can be seen of it yet. */
  hasBegun: boolean;
  isInUse: boolean;
  /** Species that follow, with their days. */
  species: string;
  past: { year: number; computed: string; onRecord: string }[];
  others: { name: string; usual: string; own: string }[];
  form: FormState;
}

export interface LeafOutPage {
  shell: Shell;
  models: FilterLink[];
  modelKey: string;
  modelWords: string;
  modelSource: string;
  properties: PropertyLeafOut[];
}

/** The spring that is meant: this year's until the end of July, then the next. */
export function springOf(today: IsoDate): number {
  return today.slice(5) < '08-01' ? yearOf(today) : yearOf(today) + 1;
}

/** The model asked for, else the one that fits any place and year. Throws 404 where none is loaded. */
export function leafOutModel(deps: Deps, key: string | undefined): LeafOutModel {
  const models = deps.seasons.leafOutModels();
  const model = models.find((one) => one.key === key) ?? models[0];
  if (!model) throw new PageError(404, 'No model of leaf-out is loaded.');
  return model;
}

/** Days of a past year that are over; of this one those before today. */
function meansSoFar(daily: DailyWeather | null, year: number, today: IsoDate): (number | null)[] {
  const own = daily?.years.find((one) => one.year === year);
  if (!own) return [];
  const past = Math.max(0, toDay(today) - toDay(isoDate(`${year}-01-01`)));
  return dailyMeans(own).slice(0, past);
}

/** Leaf-out of the spring that is meant, as far as the temperatures tell. */
export function estimateOf(
  property: Property,
  model: LeafOutModel,
  daily: DailyWeather | null,
  today: IsoDate,
): LeafOutEstimate {
  const year = springOf(today);
  const before = (daily?.years ?? []).filter((one) => one.year < year);
  const place = { latitude: property.latitude, longitude: property.longitude };
  const dailyMeanC = meansSoFar(daily, year, today);
  return leafOutEstimate({ year, place, model, dailyMeanC, usualMeanC: usualDailyMeans(before) });
}

function basisWords({ basis, daysOfSpringKnown }: LeafOutEstimate): string {
  if (basis === 'latitude fit')
    return 'from the latitude alone, because no daily temperatures that reach through spring are loaded';
  if (basis === 'from past years')
    return "from the usual temperatures of past years; this spring's own are not in yet, and the date firms up as they come";
  return `from this spring's temperatures, ${words.count(daysOfSpringKnown, 'day')} of them in, and the usual ones for the rest`;
}

const howWords = { observed: 'observed', computed: 'computed and taken over' } as const;

function inUse(property: Property, year: number): { words: string; how: string } {
  const own = property.anchors.byYear.find((row) => row.anchor === 'leaf-out' && row.year === year);
  const date = anchorDate(property.anchors, 'leaf-out', year);
  return {
    words: `${words.date(date)}, ${own ? howWords[own.how] : 'the usual day'}`,
    how: own?.how ?? 'usual',
  };
}

function pastYears(
  property: Property,
  model: LeafOutModel,
  daily: DailyWeather | null,
  spring: number,
): PropertyLeafOut['past'] {
  const years = (daily?.years ?? []).filter((one) => one.year < spring);
  const place = { latitude: property.latitude, longitude: property.longitude };
  const recorded = property.anchors.byYear.filter(
    ({ anchor, year, how }) => anchor === 'leaf-out' && year < spring && how === 'observed',
  );
  const computed = leafOutByYear(model, years, place);
  const all = [...new Set([...computed, ...recorded].map(({ year }) => year))].sort(
    (a, b) => b - a,
  );
  return all.map((year) => {
    const date = computed.find((one) => one.year === year)?.date ?? null;
    const seen = recorded.find((one) => one.year === year)?.date ?? null;
    const apart = date && seen ? daysBetween(seen, date) : null;
    const side = apart === null || apart === 0 ? '' : apart > 0 ? 'late' : 'early';
    return {
      year,
      computed:
        date === null
          ? 'days are missing in spring'
          : `${words.dayMonth(date)}${side === '' ? '' : `, ${words.count(Math.abs(apart ?? 0), 'day')} ${side}`}`,
      onRecord: seen === null ? '' : words.dayMonth(seen),
    };
  });
}

function otherAnchors(property: Property, spring: number): PropertyLeafOut['others'] {
  const names = anchorNames.filter((name): name is AnchorName => name !== 'leaf-out');
  return names.map((anchor) => {
    const own = property.anchors.byYear.find((row) => row.anchor === anchor && row.year === spring);
    return {
      name: words.anchorWords[anchor],
      usual: words.monthDayWords(property.anchors.usual[anchor]),
      own: own ? `${words.date(own.date)}, ${own.how}` : 'not on record',
    };
  });
}

function propertyLeafOut(
  deps: Deps,
  property: Property,
  model: LeafOutModel,
  form: FormState,
): PropertyLeafOut {
  const today = todayAt(deps, property);
  const daily = deps.seasons.dailyWeather(property.id);
  const year = springOf(today);
  const estimate = estimateOf(property, model, daily, today);
  const now = inUse(property, year);
  const laterOaks = deps.seasons.leafOutModels().filter((one) => one.afterRedOakDays > 0);
  const station = daily?.station ?? null;
  return {
    id: property.id,
    property: property.name,
    year,
    estimateWords: `${words.date(estimate.date)}, give or take ${words.number(estimate.errorDays, 0)} days`,
    basisWords: basisWords(estimate),
    stationWords:
      daily === null || station === null
        ? 'no weather history is loaded'
        : `daily temperatures of ${station.name}, ${daily.years[0]?.year ?? ''} to ${daily.years.at(-1)?.year ?? ''}`,
    isInvented: station?.isInvented ?? false,
    inUseWords: now.words,
    hasBegun: year <= yearOf(today),
    isObserved: now.how === 'observed',
    isInUse: anchorDate(property.anchors, 'leaf-out', year) === estimate.date,
    species: laterOaks
      .map((one) => `${one.name} about ${words.dayMonth(forSpecies(estimate.date, model, one))}`)
      .join('; '),
    past: pastYears(property, model, daily, year),
    others: otherAnchors(property, year),
    form,
  };
}

/** When the leaves come out at each property: the model's date with its error, and what the windows hang on. */
export function leafOutPage(
  deps: Deps,
  modelKey: string | undefined,
  refused: { propertyId: number; form: FormState } | null = null,
): LeafOutPage {
  const model = leafOutModel(deps, modelKey);
  return {
    shell: shellOf(deps, 'more', 'When do the leaves come out?'),
    models: deps.seasons.leafOutModels().map((one) => ({
      name: one.name,
      path: `/leaf-out?model=${encodeURIComponent(one.key)}`,
      count: null,
      isCurrent: one.key === model.key,
    })),
    modelKey: model.key,
    modelWords: `${model.name}: warmth above ${words.number(model.baseC)} °C (${words.number(model.baseC * 1.8 + 32)} °F) from ${words.dayMonth(addDays(isoDate('2027-01-01'), model.fromDayOfYear - 1))} on, until ${words.number(model.threshold)} degree days C${model.dayLengthPower > 0 ? ', weighed by day length' : ''}`,
    modelSource: sourceWords(model),
    properties: deps
      .operation()
      .properties.map((property) =>
        propertyLeafOut(
          deps,
          property,
          model,
          refused?.propertyId === property.id ? refused.form : blankForm,
        ),
      ),
  };
}
