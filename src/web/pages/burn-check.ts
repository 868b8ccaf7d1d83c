import type { Block } from '../../core/blocks.ts';
import {
  type CountySwitchKind,
  countySwitchKinds,
  switchGoodHours,
  switchStandings,
} from '../../core/county-switches.ts';
import { addDays, type IsoDate, parseIsoDate, weekday } from '../../core/dates.ts';
import { type GoNoGo, goNoGoGroups, goNoGoQuestions, goNoGoStops } from '../../core/go-no-go.ts';
import type { Operation } from '../../core/operation.ts';
import type { Property } from '../../core/properties.ts';
import { useBysAhead } from '../../core/today.ts';
import type { Caution } from '../../core/treatments.ts';
import {
  type AfterRow,
  type BlockDay,
  blockDay,
  blocksForDay,
  type CheckFacts,
  hoursAfter,
  programmeOf,
} from '../../core/weather/burn-check.ts';
import { claimWords } from '../../core/weather/burn-order.ts';
import { dayHoursDefault } from '../../core/weather/day-programme.ts';
import type { DayFinding, ElementFinding, ElementName } from '../../core/weather/fit-days.ts';
import { forecastAgeHours, isForecastStale } from '../../core/weather/forecast-age.ts';
import type { DayWeather, Deps } from '../deps.ts';
import { answerField } from '../forms/burn-check.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type BurnSizeView, burnSizeView, type SizeQuery } from './burn-size.ts';
import { type Shell, shellOf, todayAt, todayOf } from './shell.ts';
import { cautionsFor } from './task-words.ts';

export interface ElementLine {
  name: string;
  limits: string;
  /** One a column: state and value. */
  cells: { hour: string; state: 'in' | 'out' | 'unknown'; words: string }[];
}

export interface AfterLine {
  when: string;
  wind: string;
  gust: string;
  humidity: string;
  direction: string;
  shift: string;
}

export interface RankedLine {
  path: string;
  name: string;
  verdict: string;
  run: string;
  reasons: string;
  missing: string;
  people: string;
}

/** A smoke category that the user entered. */
export interface SmokeLine {
  id: number;
  state: string;
  name: string;
  least: string;
  isBurningAllowed: boolean;
  note: string;
}

export interface SwitchLine {
  name: string;
  state: string;
  detail: string;
  isOff: boolean;
}

export interface CheckPage {
  shell: Shell;
  day: IsoDate;
  dayWords: string;
  days: { name: string; path: string; isCurrent: boolean }[];
  blocks: { key: string; name: string }[];
  query: Record<string, string>;
  basis: { words: string; isInvented: boolean }[];
  ranked: RankedLine[];
  programmes: { property: string; stops: string[]; left: string[] }[];
  programmeBasis: string;
  block: BlockCheck | null;
  counties: { propertyId: number; place: string; lines: SwitchLine[] }[];
  smoke: SmokeLine[];
  states: { key: string; name: string }[];
  smokeForm: FormState;
  switchKinds: { key: string; name: string }[];
  switchForm: FormState;
  goNoGoForm: FormState;
  groups: typeof goNoGoGroups;
  answerField: typeof answerField;
  lists: ListLine[];
  cautions: Caution[];
}

export interface BlockCheck {
  id: number;
  name: string;
  unitPath: string;
  prescription: string;
  verdict: string;
  run: string;
  ends: string;
  elements: ElementLine[];
  dayElements: { name: string; words: string; state: string }[];
  hours: string[];
  after: AfterLine[];
  afterFrom: string;
  missing: string[];
  people: string;
  size: BurnSizeView;
}

export interface ListLine {
  id: number;
  path: string;
  block: string;
  day: string;
  answeredBy: string;
  outcome: string;
}

export const switchNames: Record<CountySwitchKind, string> = {
  'burn-ban': 'Burn ban',
  'red-flag': 'Red flag warning',
  'drought-stop': 'Drought stop',
};

const elementNames: Record<ElementName, string> = {
  temperature: 'Temperature, °F',
  humidity: 'Relative humidity, %',
  wind: 'Wind, miles an hour',
  gust: 'Gust, miles an hour',
  'wind-direction': 'Wind from',
  rain: 'Rain, inches',
  'fine-fuel-moisture': 'Fine fuel moisture, %',
  snow: 'Snow on the ground, inches',
  daylight: 'Daylight',
  'dry-days': 'Days since a wetting rain',
  drying: 'Drying of this ground after rain',
  'next-day-gust': 'Gust of the day after, miles an hour',
  'next-day-humidity': 'Lowest humidity of the day after, %',
};

const compass = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW'];
const directionWords = (degrees: number) => compass[Math.round(degrees / 45) % 8] ?? '';
const clock = (hour: number) => {
  const minutes = Math.round(hour * 60);
  return `${String(Math.floor(minutes / 60) % 24).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
};

function valueWords({ element, value }: ElementFinding): string {
  if (value === null || element === 'daylight') return '';
  if (element === 'wind-direction') return directionWords(value);
  return words.number(value, element === 'rain' ? 2 : 0);
}

function limitWords(block: Block, { element, limits }: ElementFinding): string {
  if (element === 'wind-direction') return words.list(block.burnLimits.windFrom ?? []);
  const { least, most } = limits;
  const show = element === 'daylight' ? clock : (value: number) => words.number(value);
  if (least === null && most === null) return '';
  if (least === null) return `at most ${show(most ?? 0)}`;
  return most === null ? `at least ${show(least)}` : `${show(least)} to ${show(most)}`;
}

function elementLines(block: Block, finding: DayFinding): ElementLine[] {
  const first = finding.hours[0]?.elements ?? [];
  return first.map((head) => ({
    name: elementNames[head.element],
    limits: limitWords(block, head),
    cells: finding.hours.map(({ hour, elements }) => {
      const found = elements.find((one) => one.element === head.element) ?? head;
      return { hour: clock(hour), state: found.state, words: valueWords(found) };
    }),
  }));
}

const verdictWords = {
  fit: 'inside its limits',
  unfit: 'outside its limits',
  unknown: 'not known: something it limits is missing',
} as const;

function runWords(finding: DayFinding | null): string {
  const run = finding?.bestRun;
  return run
    ? `${clock(run.fromHour)} to ${clock(run.untilHour)}, ${words.count(finding.hoursInRow, 'hour')} in a row`
    : 'no hour inside every limit';
}

/** What is out or unknown in the hour after the best run, or that the hours of the prescription end there. */
function endWords(finding: DayFinding, hoursNeeded: number): string {
  const run = finding.bestRun;
  const short =
    finding.hoursInRow < hoursNeeded
      ? ` The prescription asks for ${words.count(hoursNeeded, 'hour')} in a row.`
      : '';
  if (!run) return short.trim();
  const next = finding.hours.find(({ hour }) => hour === run.untilHour);
  if (!next) return `It ends with the hours of the prescription.${short}`;
  const bad = next.elements
    .filter(({ state }) => state !== 'in')
    .map(({ element, state }) => `${elementNames[element].split(',')[0]?.toLowerCase()} ${state}`);
  return `At ${clock(run.untilHour)} it ends: ${words.list(bad)}.${short}`;
}

function afterLine(row: AfterRow): AfterLine {
  const figure = (value: number | null) => (value === null ? 'unknown' : words.number(value, 0));
  const shifts = {
    none: 'none',
    shift: 'wind shift',
    front: 'wind shift and colder: a front',
    unknown: 'unknown',
  };
  return {
    when: `${words.dayMonth(row.day)}, ${clock(row.fromHour)} to ${clock(row.untilHour)}`,
    wind: figure(row.windMph),
    gust: figure(row.gustMph),
    humidity: figure(row.lowestRhPercent),
    direction: row.windFromDegrees === null ? 'unknown' : directionWords(row.windFromDegrees),
    shift: shifts[row.shift],
  };
}

export function switchLines(deps: Deps, property: Property): SwitchLine[] {
  return switchStandings(deps.burns.switches(), property, deps.burns.now()).map((one) => {
    const { newest, kind } = one;
    const states = {
      off: 'off',
      on: 'in force',
      old: `off when checked, but more than ${switchGoodHours} hours ago: not ready`,
      'never-checked': 'never checked: not ready',
    };
    const since = newest?.since ? `since ${words.date(newest.since)}, ` : '';
    return {
      name: switchNames[kind],
      state: states[one.state],
      detail: newest
        ? `${since}checked by ${newest.checkedBy}, ${words.instant(newest.checkedAt)}${newest.note ? `: ${newest.note}` : ''}`
        : '',
      isOff: one.state === 'off',
    };
  });
}

/** Facts of the check from the adapters. */
export function checkFacts(deps: Deps, day: IsoDate): CheckFacts {
  const operation = deps.operation();
  const plan = deps.plans.inForce();
  const kept = plan ? deps.burns.pastYears.kept(plan.id) : null;
  const counted = new Map(kept?.result.burns.map((burn) => [burn.key, burn.stages.fit]));
  const known = new Map<number, DayWeather | null>();
  const useBys = new Map(
    useBysAhead(operation, plan?.content ?? null, (property) => todayAt(deps, property)).map(
      (one) => [one.block.id, one.useByOn],
    ),
  );
  return {
    today: todayOf(deps),
    weatherOf: (propertyId) => {
      const found = known.get(propertyId);
      if (found !== undefined) return found;
      const weather = deps.burns.weatherOf(propertyId, day);
      known.set(propertyId, weather);
      return weather;
    },
    fitDaysOf: (taskKey) => counted.get(taskKey) ?? null,
    useByOf: (blockId) => useBys.get(blockId) ?? null,
    switchesMissing: (propertyId) => {
      const property = operation.properties.find((one) => one.id === propertyId);
      return (property ? switchLines(deps, property) : [])
        .filter((line) => !line.isOff)
        .map((line) => `${line.name.toLowerCase()} ${line.state}`);
    },
  };
}

const blockWords = (block: Block) => `${block.code} ${block.name}`.trim();

/** The first two and how many more; all of them stand on the block's own check. */
function shortList(parts: readonly string[]): string {
  const more = parts.length - 2;
  return more > 0 ? `${parts.slice(0, 2).join('; ')}; and ${more} more` : parts.join('; ');
}

function rankedLine(one: BlockDay, day: IsoDate): RankedLine {
  const { finding, missing, people } = one;
  return {
    path: `/burn-check?block=${one.block.id}&day=${day}`,
    name: blockWords(one.block),
    verdict: finding ? verdictWords[finding.verdict] : 'no weather for this day',
    run: runWords(finding),
    reasons: claimWords(one.claim).join('; '),
    missing: missing.length > 0 ? shortList(missing) : 'nothing on the list',
    people: `${people.needed} needed, ${people.there} at work that day`,
  };
}

/** Who said it and when, with its age; an old one is marked. */
function forecastWords(deps: Deps, forecast: NonNullable<DayWeather['forecast']>): string {
  const { source, issuedAt } = forecast;
  const now = deps.burns.now();
  const hours = Math.floor(forecastAgeHours(forecast, now));
  const age = isForecastStale(forecast, now) ? `, old: ${words.count(hours, 'hour')}` : '';
  return `Forecast of ${source}, issued ${words.instant(issuedAt)}${age}`;
}

/** Where the weather of the day is from, once a station. */
function basisOf(
  operation: Operation,
  facts: CheckFacts,
  deps: Deps,
  day: IsoDate,
): CheckPage['basis'] {
  const found = operation.properties.map((property) => deps.burns.weatherOf(property.id, day));
  const lines = found.map((one) => {
    if (!one) return { words: 'No weather station with hours is loaded', isInvented: false };
    const { forecast, stationName, isInvented } = one;
    const observed = `From what was observed at ${stationName}`;
    const noForecast =
      day >= facts.today ? 'No forecast is loaded, so days from today on are unknown. ' : '';
    return {
      words: forecast
        ? `${forecastWords(deps, forecast)}, for ${stationName}`
        : `${noForecast}${observed}`,
      isInvented,
    };
  });
  return lines.filter((line, at) => lines.findIndex((one) => one.words === line.words) === at);
}

function blockCheck(
  operation: Operation,
  deps: Deps,
  one: BlockDay,
  day: IsoDate,
  query: SizeQuery,
): BlockCheck {
  const { block, finding, prescription } = one;
  const weather = deps.burns.weatherOf(block.propertyId, day);
  const until = finding?.bestRun?.untilHour ?? prescription.toHour + 1;
  const unit = operation.units.find((row) => row.blockId === block.id);
  return {
    id: block.id,
    name: blockWords(block),
    unitPath: unit ? `/units/${unit.id}` : '/units',
    prescription: prescription.name,
    verdict: finding ? verdictWords[finding.verdict] : 'no weather for this day',
    run: runWords(finding),
    ends: finding ? endWords(finding, prescription.hoursInRow) : '',
    elements: finding ? elementLines(block, finding) : [],
    dayElements: (finding?.dayElements ?? []).map((row) => ({
      name: elementNames[row.element],
      words: [valueWords(row), limitWords(block, row)].filter((part) => part !== '').join('; '),
      state: row.state,
    })),
    hours: (finding?.hours ?? []).map(({ hour }) => clock(hour)),
    after: weather ? hoursAfter(weather, day, until).map(afterLine) : [],
    afterFrom: clock(until),
    missing: one.missing,
    people: `${one.people.needed} needed, ${one.people.there} at work that day`,
    size: burnSizeView(
      operation,
      block,
      prescription,
      finding,
      weather,
      one.need,
      day,
      weather?.tables.fuelModels ?? [],
      query,
    ),
  };
}

function programmesOf(
  operation: Operation,
  facts: CheckFacts,
  ranked: readonly BlockDay[],
  day: IsoDate,
): CheckPage['programmes'] {
  return operation.properties.flatMap((property) => {
    const weather = facts.weatherOf(property.id);
    if (!weather) return [];
    const { stops, left } = programmeOf(operation, ranked, property.id, weather.clock, day);
    if (stops.length + left.length === 0) return [];
    return [
      {
        property: property.name,
        stops: stops.map(
          (stop) =>
            `${stop.key}: ${stop.setUpFrom === null ? '' : `set up from ${clock(stop.setUpFrom)}, `}light ${clock(stop.lightFrom)} to ${clock(stop.lightUntil)}, secure by ${clock(stop.secureUntil)}`,
        ),
        left: left.map(({ key, reason }) => `${key}: ${reason}`),
      },
    ];
  });
}

/** A kept list in a line. */
export function listLine(operation: Operation, list: GoNoGo): ListLine {
  const block = operation.blocks.find((one) => one.id === list.blockId);
  const stops = goNoGoStops(list.answers).length;
  return {
    id: list.id,
    path: `/burn-check/lists/${list.id}`,
    block: block ? blockWords(block) : 'a block taken out',
    day: words.date(list.day),
    answeredBy: list.answeredBy,
    outcome:
      stops === 0
        ? 'every answer yes; the boss decides'
        : `stop: ${words.count(stops, 'answer')} not yes`,
  };
}

function dayLinks(today: IsoDate, day: IsoDate, blockId: number | null): CheckPage['days'] {
  const block = blockId === null ? '' : `block=${blockId}&`;
  return [0, 1, 2, 3].map((more) => {
    const at = addDays(today, more);
    const name =
      more === 0 ? 'Today' : `${words.weekdayNames[weekday(at) - 1]} ${words.dayMonth(at)}`;
    return { name, path: `/burn-check?${block}day=${at}`, isCurrent: at === day };
  });
}

const figureNames = ['crown', 'mixing', 'transport'] as const;

function typedFigures(query: Record<string, string | undefined>): Record<string, string> {
  return Object.fromEntries(figureNames.map((name) => [name, (query[name] ?? '').slice(0, 12)]));
}

/** Figures typed beside the day; what is no number from 0 up counts as blank. */
function sizeQuery(
  query: Record<string, string | undefined>,
  smokeRules: SizeQuery['smokeRules'],
): SizeQuery {
  const figure = (name: (typeof figureNames)[number]) => {
    const value = Number(query[name] || Number.NaN);
    return value >= 0 && value <= 100_000 ? value : null;
  };
  return {
    smokeRules,
    crownFeet: figure('crown'),
    mixingFeet: figure('mixing'),
    transportMph: figure('transport'),
  };
}

export interface CheckForms {
  switchForm?: FormState;
  goNoGoForm?: FormState;
  smokeForm?: FormState;
}

/** Smoke categories of the states of some properties. */
function rulesOf(deps: Deps, properties: readonly Property[]) {
  const states = new Set(properties.map((one) => one.state));
  return deps.burns.smokeRules().filter((rule) => states.has(rule.state));
}

/** What the burn check shows; an unknown block or day shows all blocks of today, never an error. */
export function burnCheckPage(
  deps: Deps,
  query: Record<string, string | undefined>,
  forms: CheckForms = {},
): CheckPage {
  const operation = deps.operation();
  const plan = deps.plans.inForce()?.content ?? null;
  const today = todayOf(deps);
  const day = parseIsoDate(query['day'] ?? '') ?? today;
  const block = operation.blocks.find((one) => String(one.id) === query['block']) ?? null;
  const facts = checkFacts(deps, day);
  const ranked = blocksForDay(operation, plan, facts, day);
  const own = block ? blockDay(operation, plan, facts, block, day) : null;
  const { setUp, secure, move } = dayHoursDefault;
  const shown = block
    ? operation.properties.filter((one) => one.id === block.propertyId)
    : operation.properties;
  const burnKeys = operation.treatments.filter((one) => one.family === 'burn');
  return {
    shell: shellOf(deps, 'burn-days', 'What does the day allow, and where?'),
    day,
    dayWords: words.date(day),
    days: dayLinks(today, day, block?.id ?? null),
    blocks: operation.blocks
      .filter((one) => one.prescriptionKey !== null)
      .map((one) => ({ key: String(one.id), name: blockWords(one) })),
    query: { ...typedFigures(query), block: block ? String(block.id) : '', day },
    basis: basisOf(operation, facts, deps, day),
    ranked: ranked.map((one) => rankedLine(one, day)),
    programmes: programmesOf(operation, facts, ranked, day),
    programmeBasis: `Set-up ${words.number(setUp)} h, securing ${words.number(secure)} h, moving ${words.number(move)} h: common practice, no source. Station standard time.`,
    block: own
      ? blockCheck(operation, deps, own, day, sizeQuery(query, rulesOf(deps, shown)))
      : null,
    counties: shown.map((property) => ({
      propertyId: property.id,
      place: `${property.county} County, ${property.state} (${property.name})`,
      lines: switchLines(deps, property),
    })),
    smoke: rulesOf(deps, shown).map((rule) => ({
      ...rule,
      least: `${words.number(rule.leastM2s, 0)} square meters a second`,
    })),
    states: [...new Set(shown.map((one) => one.state))].map((state) => ({
      key: state,
      name: state,
    })),
    smokeForm: forms.smokeForm ?? blankForm,
    switchKinds: countySwitchKinds.map((kind) => ({ key: kind, name: switchNames[kind] })),
    switchForm: forms.switchForm ?? { ...blankForm, values: { standing: 'off' } },
    goNoGoForm: forms.goNoGoForm ?? blankForm,
    groups: goNoGoGroups,
    answerField,
    lists: deps.burns
      .goNoGoLists()
      .filter((list) => block === null || list.blockId === block.id)
      .slice(0, 10)
      .map((list) => listLine(operation, list)),
    cautions: cautionsFor(
      operation,
      burnKeys.map((one) => one.key),
    ),
  };
}

export interface ListPage {
  shell: Shell;
  line: ListLine;
  recordedAt: string;
  note: string;
  groups: { name: string; answers: { text: string; answer: string; isYes: boolean }[] }[];
}

/** A kept list, for reading and print. Throws 404 when there is none. */
export function listPage(deps: Deps, id: number): ListPage {
  const list = deps.burns.goNoGoLists().find((one) => one.id === id);
  if (!list) throw new PageError(404, 'There is no list at this address.');
  const answerWords = { yes: 'yes', no: 'no: stop', unknown: 'not known: stop' };
  return {
    shell: shellOf(deps, 'worklog', 'What was answered before the burn?'),
    line: listLine(deps.operation(), list),
    recordedAt: words.instant(list.recordedAt),
    note: list.note,
    groups: goNoGoGroups.map((group) => ({
      name: group.name,
      answers: group.questions.map(({ key, text }) => {
        const answer = list.answers[key];
        return {
          text,
          answer: answer ? answerWords[answer] : 'not answered: stop',
          isYes: answer === 'yes',
        };
      }),
    })),
  };
}

/** Answers of the form by question key. */
export function answersOf(typed: Record<string, string>): GoNoGo['answers'] {
  const answers: GoNoGo['answers'] = {};
  for (const { key } of goNoGoQuestions) {
    const answer = typed[answerField(key)];
    if (answer === 'yes' || answer === 'no' || answer === 'unknown') answers[key] = answer;
  }
  return answers;
}

/** The next three days by the forecast, for Today. */
export interface ThreeDays {
  /** Where the forecast is from and how old it is; null = none is loaded. */
  basis: string | null;
  days: { name: string; path: string; blocks: { name: string; path: string; words: string }[] }[];
}

/** Blocks with a burn ahead that the forecast puts inside their limits, today and the two days after. */
export function threeDays(deps: Deps): ThreeDays {
  const operation = deps.operation();
  const plan = deps.plans.inForce()?.content ?? null;
  const today = todayOf(deps);
  const forecast = operation.properties
    .map((property) => deps.burns.weatherOf(property.id, today)?.forecast)
    .find((one) => one);
  if (!forecast) return { basis: null, days: [] };
  const days = [0, 1, 2].map((more) => {
    const day = addDays(today, more);
    const inside = blocksForDay(operation, plan, checkFacts(deps, day), day).filter(
      (one) => one.finding?.verdict === 'fit',
    );
    return {
      name: more === 0 ? 'Today' : `${words.weekdayNames[weekday(day) - 1]} ${words.dayMonth(day)}`,
      path: `/burn-check?day=${day}`,
      blocks: inside.map((one) => ({
        name: blockWords(one.block),
        path: `/burn-check?block=${one.block.id}&day=${day}`,
        words: `${runWords(one.finding)}; ${one.missing.length === 0 ? 'nothing missing on the list' : `${words.count(one.missing.length, 'thing')} missing`}`,
      })),
    };
  });
  return {
    basis: forecastWords(deps, forecast),
    days,
  };
}
