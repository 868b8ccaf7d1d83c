import { chainOf } from '../../core/chains.ts';
import { type RunningCure, runningCures } from '../../core/cures.ts';
import { addDays, daysBetween, type IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import {
  curedLimbPercent,
  dryingEstimate,
  fieldCheckDecides,
  freshWoodPercent,
  noCedarData,
  timelagHours,
} from '../../core/weather/cure.ts';
import { cureDaysBetween } from '../../core/weather/cure-days.ts';
import type { CureHistory, Deps } from '../deps.ts';
import * as words from '../words.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

/** Sizes that an estimate is made for, inches of diameter: limbs of the field check, limbs, stems. */
const limbInches = [0.25, 0.5, 1];
const stemInches = [3, 5, 8];
/** Days ahead that the coming months are shown for. */
const daysAhead = [30, 90, 180, 365];

export interface SizeLine {
  name: string;
  now: string;
  ahead: string[];
  /** When it comes, or came, under the limit. */
  reached: string;
}

export interface CureSection {
  id: string;
  title: string;
  path: string;
  felledWords: string;
  useByWords: string;
  isPastUse: boolean;
  /** Three answers side by side: who says ready, who not yet. */
  answers: { who: string; says: string; why: string }[];
  weatherWords: string;
  isInvented: boolean;
  sizes: SizeLine[];
}

export interface CurePage {
  shell: Shell;
  noData: string;
  decides: string;
  assumptions: string;
  aheadNames: string[];
  sections: CureSection[];
}

function sizeName(inches: number): string {
  const names: Record<string, string> = { '0.25': '¼', '0.5': '½' };
  const size = names[String(inches)] ?? words.number(inches);
  return `${inches < 3 ? 'limb' : 'stem'}, ${size} in`;
}

interface Drying {
  inches: number;
  now: number;
  ahead: number[];
  /** First day since felling at or under the limit, or the first such day of the coming year. Rain wets thin limbs again. */
  under: IsoDate | null;
}

/** Today stands at `elapsedDays`; the year after it follows in the same series. */
function dryingOf(
  percentByDay: readonly number[],
  elapsedDays: number,
  felledOn: IsoDate,
  inches: number,
): Drying {
  const at = (day: number) => (day <= 0 ? freshWoodPercent : (percentByDay[day - 1] ?? Number.NaN));
  const first = percentByDay.findIndex((percent) => percent <= curedLimbPercent);
  return {
    inches,
    now: at(elapsedDays),
    ahead: daysAhead.map((days) => at(elapsedDays + days)),
    under: first < 0 ? null : addDays(felledOn, first + 1),
  };
}

function sizeLine({ inches, now, ahead, under }: Drying, today: IsoDate): SizeLine {
  const percent = (value: number) => words.number(value, 0);
  return {
    name: sizeName(inches),
    now: percent(now),
    ahead: ahead.map(percent),
    reached:
      under === null
        ? 'not within a year'
        : under <= today
          ? words.date(under)
          : `about ${words.date(under)}`,
  };
}

function estimateAnswer(
  dryings: readonly Drying[] | null,
  today: IsoDate,
): CureSection['answers'][number] {
  const who = 'Drying estimate';
  if (dryings === null)
    return { who, says: 'cannot say', why: 'no hourly weather history is loaded' };
  const isWet = ({ under }: Drying) => under === null || under > today;
  const limb = dryings.find((one) => limbInches.includes(one.inches) && isWet(one));
  if (limb) {
    const why = `limbs of ${words.number(limb.inches, 2)} inch have not come to ${curedLimbPercent} % yet`;
    return { who, says: 'not yet', why };
  }
  const stem = dryings.find((one) => stemInches.includes(one.inches) && isWet(one));
  const limbs = `limbs up to ${words.number(Math.max(...limbInches))} inch have come to ${curedLimbPercent} %`;
  const why = stem
    ? `${limbs}; stems of ${words.number(stem.inches)} inches and more have not`
    : `${limbs}, and so have the stems`;
  return { who, says: 'ready', why };
}

function answersOf(
  cure: RunningCure,
  dryings: readonly Drying[] | null,
  today: IsoDate,
): CureSection['answers'] {
  const calendar = {
    who: 'Calendar rule',
    says: today >= cure.readyOn ? 'ready' : 'not yet',
    why: `at least ${cure.leastWords}, so from ${words.date(cure.readyOn)}; common practice, no source`,
  };
  const check = {
    who: 'Field check, which decides',
    says: cure.checkedOn !== null ? 'ready' : 'not yet',
    why:
      cure.checkedOn !== null
        ? `logged as passed on ${words.date(cure.checkedOn)}`
        : cure.isCheckFailed
          ? 'logged as not passed'
          : 'none in the work log',
  };
  return [calendar, estimateAnswer(dryings, today), check];
}

function weatherWords(history: CureHistory, observedDays: number, elapsedDays: number): string {
  const rest = elapsedDays - observedDays;
  const from = `Weather of ${history.station.name}: ${words.count(observedDays, 'day')} of the ${words.number(elapsedDays)} since felling observed`;
  return rest === 0
    ? `${from}.`
    : `${from}; for the other ${words.number(rest)}, and for the coming months, the mean of past years stands in.`;
}

function sectionOf(
  deps: Deps,
  operation: Operation,
  cure: RunningCure,
  history: CureHistory | null,
): CureSection {
  const { block, unitId, felledOn } = cure;
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const today = todayAt(deps, property);
  const units = operation.units.filter((unit) => unit.blockId === block.id);
  const unit = units.find((one) => one.id === unitId) ?? units[0];
  const elapsedDays = Math.max(0, daysBetween(felledOn, today));
  const span = history && cureDaysBetween(history.weather, felledOn, addDays(today, 365));
  const observedDays = history ? cureDaysBetween(history.weather, felledOn, today).observedDays : 0;
  const dryings =
    span === null
      ? null
      : [...limbInches, ...stemInches].map((inches) =>
          dryingOf(dryingEstimate(span.days, inches).percentByDay, elapsedDays, felledOn, inches),
        );
  const name = units.length > 1 && unitId === null ? `${block.code} ${block.name}` : '';
  return {
    id: `cure-${block.id}-${unitId ?? 'all'}`,
    title: name !== '' ? name : `${unit?.code ?? block.code} ${unit?.name ?? block.name}`,
    path: unit ? `/units/${unit.id}` : '/units',
    felledWords: `${words.date(felledOn)}, ${words.count(elapsedDays, 'day')} ago`,
    useByWords: words.date(cure.useByOn),
    isPastUse: cure.useByOn < today,
    answers: answersOf(cure, dryings, today),
    weatherWords: history ? weatherWords(history, observedDays, elapsedDays) : '',
    isInvented: history?.station.isInvented ?? false,
    sizes: (dryings ?? []).map((one) => sizeLine(one, today)),
  };
}

/** Felled fuel that dries for a burn: estimate, calendar rule and field check side by side. */
export function curePage(deps: Deps): CurePage {
  const operation = deps.operation();
  const sections = operation.blocks.flatMap((block) => {
    const cures = runningCures(operation, block, chainOf(operation, block));
    const history = cures.length > 0 ? deps.seasons.cureHistory(block.propertyId) : null;
    return cures.map((cure) => sectionOf(deps, operation, cure, history));
  });
  const lag = (inches: number) => words.number(timelagHours(inches) / 24, 1);
  return {
    shell: shellOf(deps, 'units', 'Is the felled cedar dry enough?'),
    noData: noCedarData,
    decides: fieldCheckDecides,
    assumptions: `Start ${freshWoodPercent} % of dry weight, dry at ${curedLimbPercent} % or less: our defaults to edit. Timelag 40 hours times the diameter in inches squared (1 inch ${lag(1)} days, 5 inches ${lag(5)} days): derived by us, not published. Equilibrium by the Wood Handbook equation, constants from memory.`,
    aheadNames: daysAhead.map((days) => `in ${days === 365 ? 'a year' : `${days} days`}`),
    sections,
  };
}
