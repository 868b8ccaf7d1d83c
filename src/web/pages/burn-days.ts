import { daysInMonth, type IsoDate } from '../../core/dates.ts';
import { type BurnCount, type BurnSpan, openTasks } from '../../core/load.ts';
import type { Operation } from '../../core/operation.ts';
import type { Plan } from '../../core/plans.ts';
import { prescriptionKeyOf } from '../../core/tasks.ts';
import type { Caution } from '../../core/treatments.ts';
import type { StationSummary } from '../../core/weather/history.ts';
import type { Limits, Prescription } from '../../core/weather/prescriptions.ts';
import type { FitDayTable, SupplySettings } from '../../core/weather/supply.ts';
import type { Deps, MonthlyFitDays } from '../deps.ts';
import * as words from '../words.ts';
import { burnSpansAhead, supplyWords } from './crew-days.ts';
import { cautionsFor, type PlaceWords, placeWords } from './task-words.ts';
import type { FilterLink } from './year.ts';

export interface LimitLine {
  name: string;
  words: string;
}

export interface HalfMonthLine {
  month: string;
  /** Fit days of days 1 to 15 and of the 16th to the end. */
  fitDays: [string, string];
  /** Likely burns in two weeks like these. */
  burns: [string, string];
}

export interface HistoryTable {
  stationWords: string;
  isInvented: boolean;
  years: { year: string; months: string[]; total: string }[];
  mean: { months: string[]; total: string };
  unknownWords: string;
}

export interface PlannedBurn {
  dates: string;
  name: string;
  place: PlaceWords;
  /** Steps, call, people and watch of it. */
  burnPath: string;
  supply: string;
}

export interface PrescriptionSection {
  key: string;
  name: string;
  isCheck: boolean;
  note: string;
  limits: LimitLine[];
  source: string;
  /** Null for a rule that only checks the counting. */
  supply: { origin: string; lines: HalfMonthLine[]; example: string } | null;
  history: HistoryTable | null;
  burns: PlannedBurn[];
}

export interface BurnDaysModel {
  filters: { name: string; links: FilterLink[] }[];
  supplyWords: string;
  monthNames: readonly string[];
  sections: PrescriptionSection[];
  /** No weather history is loaded at all. */
  hasHistory: boolean;
  /** Planned burns that name no prescription with fit days. */
  burnsWithout: PlannedBurn[];
  cautions: Caution[];
  /** Blocks with a prescription, by property: each leads to its own fit days. */
  blocks: { property: string; links: PlaceWords[] }[];
}

function limitWords(limits: Limits, unit: string): string {
  const { least, most } = limits;
  if (least === null && most === null) return 'no limit';
  if (least === null) return `at most ${words.number(most ?? 0)} ${unit}`;
  if (most === null) return `at least ${words.number(least)} ${unit}`;
  return `${words.number(least)} to ${words.number(most)} ${unit}`;
}

const clock = (hour: number) => `${String(hour).padStart(2, '0')}:00`;

/** Limits in words, with their units. */
export function limitLines(prescription: Prescription): LimitLine[] {
  const { fromHour, toHour, hoursInRow, dryDaysBefore, wettingRainInches } = prescription;
  const rain = [
    dryDaysBefore > 0
      ? `at least ${words.count(dryDaysBefore, 'day')} since a rain of ${words.number(wettingRainInches, 2)} inches or more`
      : 'no rule for the days before',
    prescription.rainEndsRun ? 'rain ends the run of hours' : 'rain does not end the run of hours',
    prescription.missingRain === 'dry'
      ? 'missing rain counts as dry'
      : 'missing rain counts as unknown, so not fit',
  ];
  return [
    { name: 'Temperature', words: limitWords(prescription.temperatureF, '°F') },
    { name: 'Relative humidity', words: limitWords(prescription.rhPercent, '%') },
    {
      name: windNames[prescription.windHeight ?? '10-m'],
      words: limitWords(prescription.windMph, 'miles an hour'),
    },
    {
      name: 'Hours',
      words: `${words.count(hoursInRow, 'hour')} in a row among the observations of ${clock(fromHour)} to ${clock(toHour)}, standard time`,
    },
    { name: 'Rain', words: rain.join('; ') },
    ...furtherLimits(prescription),
  ];
}

const windNames = {
  '10-m': 'Wind at 10 m',
  '20-ft': 'Wind at 20 feet',
  'in-stand': 'Wind at eye level in the stand',
} as const;

/** Limits that a prescription need not have; only those it has are named. */
function furtherLimits(prescription: Prescription): LimitLine[] {
  const { gustMph, fineFuelMoisturePercent, snowInchesMost, quietNextDay } = prescription;
  const lines: LimitLine[] = [];
  if (gustMph) lines.push({ name: 'Gusts at 10 m', words: limitWords(gustMph, 'miles an hour') });
  if (fineFuelMoisturePercent)
    lines.push({
      name: 'Fine fuel moisture',
      words: `${limitWords(fineFuelMoisturePercent, '% of dry weight')}, by the ground of the block`,
    });
  if (snowInchesMost !== undefined && snowInchesMost !== null)
    lines.push({
      name: 'Snow on the ground',
      words: `at most ${words.number(snowInchesMost)} inches`,
    });
  if (quietNextDay)
    lines.push({
      name: 'The day after, 8:00 to 20:00',
      words: `gusts at most ${words.number(quietNextDay.gustMphMost)} miles an hour, humidity at least ${words.number(quietNextDay.rhPercentLeast)} %`,
    });
  return lines;
}

/** Days of a half-month, 1 to 24; February as in a common year. */
function daysInHalf(half: number): number {
  return half % 2 === 1 ? 15 : daysInMonth(2027, Math.ceil(half / 2)) - 15;
}

/** Likely burns in two weeks that lie wholly in a half-month. */
export function burnsInTwoWeeks(fitDays: number, half: number, supply: SupplySettings): number {
  return (fitDays / daysInHalf(half)) * 14 * supply.weekdayShare * supply.usedShare;
}

export function halfName(half: number): string {
  const month = words.monthNames[Math.ceil(half / 2) - 1];
  return half % 2 === 1 ? `1 to 15 ${month}` : `16 to ${15 + daysInHalf(half)} ${month}`;
}

function supplySection(
  table: FitDayTable,
  supply: SupplySettings,
): NonNullable<PrescriptionSection['supply']> {
  const fitDays = Array.from({ length: 24 }, (_, index) => table.fitDays[index] ?? 0);
  const burns = fitDays.map((count, index) => burnsInTwoWeeks(count, index + 1, supply));
  const pair = (values: readonly number[], month: number): [string, string] => [
    words.number(values[month * 2] ?? 0, 1),
    words.number(values[month * 2 + 1] ?? 0, 1),
  ];
  const best = fitDays.indexOf(Math.max(...fitDays));
  const most = fitDays[best] ?? 0;
  return {
    origin: table.origin === 'history' ? `history: ${table.label}` : table.label,
    lines: words.monthNames.map((month, index) => ({
      month,
      fitDays: pair(fitDays, index),
      burns: pair(burns, index),
    })),
    example: `${halfName(best + 1)}: ${words.number(most, 2)} fit days in ${daysInHalf(best + 1)} days, so ${words.number((most / daysInHalf(best + 1)) * 14, 2)} in two weeks × ${words.number(supply.weekdayShare, 2)} × ${words.number(supply.usedShare, 2)} = ${words.number(burns[best] ?? 0, 2)} burns.`,
  };
}

function historyTable(station: StationSummary, found: MonthlyFitDays): HistoryTable {
  const row = (counts: readonly number[]) => ({
    months: words.monthNames.map((_, index) => words.number(counts[index] ?? 0)),
    total: words.number(counts.reduce((sum, count) => sum + count, 0)),
  });
  const isUnknown = found.unknownHours > 0;
  return {
    stationWords: `${station.name}, ${station.fromYear} to ${station.toYear}`,
    isInvented: station.isInvented,
    years: Object.entries(found.years)
      .sort(([a], [b]) => Number(a) - Number(b))
      .map(([year, counts]) => ({ year, ...row(counts) })),
    mean: row(found.mean),
    unknownWords: isUnknown
      ? `${words.count(found.unknownHours, 'hour')} lacked a reading that the rule limits; an unknown hour is never fit.`
      : 'No hour lacked a reading that the rule limits.',
  };
}

function burnLines(
  operation: Operation,
  spans: readonly BurnSpan[],
  countOf: (span: BurnSpan) => BurnCount | undefined,
): PlannedBurn[] {
  const place = placeWords(operation);
  return spans
    .flatMap((span) => {
      const count = countOf(span);
      return (count?.burns ?? []).map((task) => ({ task, supply: count?.supplyTenths ?? 0 }));
    })
    .sort((a, b) => (a.task.startsOn < b.task.startsOn ? -1 : 1))
    .map(({ task, supply }) => ({
      dates: words.span(task.startsOn, task.lastDay),
      name: task.name,
      place: place(task),
      burnPath: `/burns/${task.blockId}`,
      supply: words.count(supply / 10, 'likely burn'),
    }));
}

/** Burns of a span that name no prescription with fit days, against the largest supply. */
function countWithout(operation: Operation, { all, byPrescription }: BurnSpan): BurnCount {
  const burns = all.burns.filter((task) => {
    const key = prescriptionKeyOf(operation, task);
    return key === null || !byPrescription.has(key);
  });
  return { ...all, burns };
}

function blockLinks(operation: Operation): BurnDaysModel['blocks'] {
  return operation.properties.flatMap((property) => {
    const links = operation.blocks
      .filter((block) => block.propertyId === property.id && block.prescriptionKey !== null)
      .map(({ id, code, name }) => ({
        path: `/burn-days/blocks/${id}`,
        words: name === '' || name === code ? code : `${code} ${name}`,
      }));
    return links.length > 0 ? [{ property: property.name, links }] : [];
  });
}

function burnDaysPath(prescriptionKey: string | null, stationName: string | null): string {
  const parts = [
    ...(prescriptionKey === null ? [] : [`prescription=${encodeURIComponent(prescriptionKey)}`]),
    ...(stationName === null ? [] : [`station=${encodeURIComponent(stationName)}`]),
  ];
  return parts.length > 0 ? `/burn-days?${parts.join('&')}` : '/burn-days';
}

function filtersOf(
  operation: Operation,
  stations: readonly StationSummary[],
  key: string | null,
  station: StationSummary | null,
  asked: string | null,
): BurnDaysModel['filters'] {
  const link = (name: string, to: string | null): FilterLink => ({
    name,
    path: burnDaysPath(to, asked),
    count: null,
    isCurrent: to === key,
  });
  const filters = [
    {
      name: 'Prescription',
      links: [
        link('All prescriptions', null),
        ...operation.prescriptions.map((one) => link(one.name, one.key)),
      ],
    },
  ];
  if (stations.length > 1)
    filters.push({
      name: 'Weather station',
      links: stations.map((one) => ({
        name: one.name,
        path: burnDaysPath(key, one.name),
        count: null,
        isCurrent: one === station,
      })),
    });
  return filters;
}

/** Everything the Burn days page shows; an unknown prescription or station shows the default, never an error. */
export function burnDaysModel(
  operation: Operation,
  plan: Plan | null,
  weather: Deps['weather'],
  query: Record<string, string | undefined>,
  today: IsoDate,
): BurnDaysModel {
  const stations = weather.stations();
  const asked = stations.find((one) => one.name === query['station']) ?? null;
  const station = asked ?? stations[0] ?? null;
  const chosen = operation.prescriptions.find((one) => one.key === query['prescription']) ?? null;
  const spans = plan
    ? burnSpansAhead(operation, openTasks(operation, plan.content.tasks), plan, today)
    : [];
  const shown = operation.prescriptions
    .filter((one) => !chosen || one === chosen)
    .toSorted((a, b) => Number(a.use === 'check') - Number(b.use === 'check'));
  const sections = shown.map((prescription): PrescriptionSection => {
    const isCheck = prescription.use === 'check';
    const table = operation.fitDays.find((one) => one.prescriptionKey === prescription.key);
    const found = station && weather.monthlyFitDays(station.name, prescription.key);
    return {
      key: prescription.key,
      name: prescription.name,
      isCheck,
      note: prescription.note,
      limits: limitLines(prescription),
      source: `${prescription.source}${prescription.source ? ' ' : ''}(${words.statusNames[prescription.status]})`,
      supply: table && !isCheck ? supplySection(table, operation.settings.supply) : null,
      history: station && found ? historyTable(station, found) : null,
      burns: isCheck
        ? []
        : burnLines(operation, spans, (span) => span.byPrescription.get(prescription.key)),
    };
  });
  const burnKeys = operation.treatments
    .filter((treatment) => treatment.family === 'burn')
    .map((treatment) => treatment.key);
  return {
    filters: filtersOf(operation, stations, chosen?.key ?? null, station, asked?.name ?? null),
    supplyWords: supplyWords(operation),
    monthNames: words.monthNames,
    sections,
    hasHistory: stations.length > 0,
    burnsWithout: chosen
      ? []
      : burnLines(operation, spans, (span) => countWithout(operation, span)),
    cautions: cautionsFor(operation, burnKeys),
    blocks: blockLinks(operation),
  };
}
