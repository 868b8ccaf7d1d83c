import type { Block } from '../blocks.ts';
import { unitsOf } from '../chains.ts';
import { daysBetween, fromDay, type IsoDate, lastDayOf, monthDay, toDay } from '../dates.ts';
import { loggedTaskKeys, plannedBurnsOf } from '../land-index.ts';
import type { Operation } from '../operation.ts';
import type { PlanContent } from '../plans.ts';
import { readinessOf } from '../readiness.ts';
import { fireStatus, fires } from '../rotation.ts';
import { sunTimes } from '../season/sun.ts';
import { burningSeasonStart, windowOpenings } from '../seasons.ts';
import { type PlannedTask, prescriptionKeyOf } from '../tasks.ts';
import { type BurnClaim, compareClaims } from './burn-order.ts';
import { type BurnNeed, burnNeedOf, lightingRateOf, prescriptionHours } from './burn-size.ts';
import {
  type DayProgramme,
  dayHoursDefault,
  dayProgramme,
  type ProgrammeBlock,
} from './day-programme.ts';
import { type DayFinding, type GroundTables, judgeDay, type StationClock } from './fit-days.ts';
import { type HourlyWeather, hourUtcOfDay } from './hours.ts';
import { peopleOn } from './past-years-land.ts';
import type { Prescription } from './prescriptions.ts';
import { blockConditions } from './sites.ts';

/** Weather that a property's days are judged by. */
export interface CheckWeather {
  weather: HourlyWeather;
  clock: StationClock;
  tables: GroundTables;
}

/** Six hours of the three days after a burn; null = not known in any of them. */
export interface AfterRow {
  day: IsoDate;
  fromHour: number;
  untilHour: number;
  windMph: number | null;
  gustMph: number | null;
  lowestRhPercent: number | null;
  windFromDegrees: number | null;
  /** Turn of the wind of 45 degrees or more within three hours; `front` when it also turns 3 C colder. */
  shift: 'none' | 'shift' | 'front' | 'unknown';
}

const hoursAfterBurn = 72;
const rowHours = 6;
/** Common practice, no source. */
const shiftDegrees = 45;
const shiftWithinHours = 3;
const frontColderC = 3;

const milesAnHour = (metersASecond: number) => metersASecond / 0.44704;
const turn = (a: number, b: number) => Math.abs(((b - a + 540) % 360) - 180);

function most(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length > 0 ? Math.max(...known) : null;
}

function shiftIn(weather: HourlyWeather, from: number, until: number): AfterRow['shift'] {
  let found: AfterRow['shift'] = 'unknown';
  for (let hour = from; hour < until; hour++) {
    const before = weather.reading(hour - shiftWithinHours);
    const now = weather.reading(hour);
    if (before.windFromDegrees === null || now.windFromDegrees === null) continue;
    if (found === 'unknown') found = 'none';
    if (turn(before.windFromDegrees, now.windFromDegrees) < shiftDegrees) continue;
    const isColder =
      before.temperatureC !== null &&
      now.temperatureC !== null &&
      before.temperatureC - now.temperatureC >= frontColderC;
    if (isColder) return 'front';
    found = 'shift';
  }
  return found;
}

/** The 72 hours after the last lighting hour, in rows of six hours of station time. Fires get away on those afternoons. */
export function hoursAfter(
  { weather, clock }: Pick<CheckWeather, 'weather' | 'clock'>,
  day: IsoDate,
  untilHour: number,
): AfterRow[] {
  const first = hourUtcOfDay(toDay(day), untilHour, clock.standardOffsetMinutes);
  return Array.from({ length: hoursAfterBurn / rowHours }, (_, row): AfterRow => {
    const from = first + row * rowHours;
    const readings = Array.from({ length: rowHours }, (_, hour) => weather.reading(from + hour));
    const local = untilHour + row * rowHours;
    const lowest = most(readings.map(({ rhPercent }) => (rhPercent === null ? null : -rhPercent)));
    const wind = most(readings.map(({ windMs }) => windMs));
    const gust = most(readings.map(({ gustMs }) => gustMs));
    return {
      day: fromDay(toDay(day) + Math.floor(local / 24)),
      fromHour: local % 24,
      untilHour: (local % 24) + rowHours,
      windMph: wind === null ? null : milesAnHour(wind),
      gustMph: gust === null ? null : milesAnHour(gust),
      lowestRhPercent: lowest === null ? null : -lowest,
      windFromDegrees:
        readings.find((one) => one.windFromDegrees !== null)?.windFromDegrees ?? null,
      shift: shiftIn(weather, from, from + rowHours),
    };
  });
}

/** A block on a day: what the weather says, what is missing, and what speaks for it. */
export interface BlockDay {
  block: Block;
  prescription: Prescription;
  /** The burn planned for it, if any. */
  task: PlannedTask | null;
  /** Null = no weather near it. */
  finding: DayFinding | null;
  missing: string[];
  people: { needed: number; there: number };
  need: BurnNeed;
  claim: BurnClaim;
}

/** What the check knows beside the land and the plan. */
export interface CheckFacts {
  today: IsoDate;
  weatherOf(propertyId: number): CheckWeather | null;
  /** Fit days a season by task key, from the past-years test; null = not counted. */
  fitDaysOf(taskKey: string): number | null;
  /** Last day that felled fuel of a block is of use; null = none. */
  useByOf(blockId: number): IsoDate | null;
  /** Switches of the property's county that are not known to be off, in words. */
  switchesMissing(propertyId: number): string[];
}

/** The burn of a block that is planned soonest on or after the day, or that the day falls into. */
function burnOf(operation: Operation, plan: PlanContent | null, block: Block, day: IsoDate) {
  const done = loggedTaskKeys(operation.entries);
  return (
    plannedBurnsOf(plan?.tasks ?? [], block.id)
      .filter((task) => task.lastDay >= day && !done.has(task.key))
      .sort((a, b) => (a.startsOn < b.startsOn ? -1 : 1))[0] ?? null
  );
}

function closesInDays(
  operation: Operation,
  block: Block,
  task: PlannedTask | null,
  day: IsoDate,
  useBy: IsoDate | null,
) {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const treatment = operation.treatments.find((one) => one.key === task?.treatmentKey);
  const now = { startsOn: day, endsBefore: fromDay(toDay(day) + 1) };
  const ends = property
    ? (treatment?.windows ?? []).flatMap((window) =>
        windowOpenings(window, now, property.anchors).map(lastDayOf),
      )
    : [];
  const last = [...ends, ...(useBy ? [useBy] : [])].sort()[0];
  return last === undefined ? null : daysBetween(day, last);
}

/** True when a unit next to the block went black in the burning season of the day. */
function hasBlackNeighbour(operation: Operation, block: Block, day: IsoDate): boolean {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const season = burningSeasonStart(day, property?.burningSeasonStart ?? monthDay('07-01'));
  const own = new Set(unitsOf(operation, block).map((unit) => unit.id));
  return operation.neighbours.some(({ unitIds: [a, b] }) => {
    if (own.has(a) === own.has(b)) return false;
    const unit = operation.units.find((one) => one.id === (own.has(a) ? b : a));
    return (
      unit !== undefined &&
      fires(operation, unit).some((fire) => fire.doneOn >= season && fire.doneOn <= day)
    );
  });
}

/** A block judged for a day; null when it has no prescription. */
export function blockDay(
  operation: Operation,
  plan: PlanContent | null,
  facts: CheckFacts,
  block: Block,
  day: IsoDate,
): BlockDay | null {
  const task = burnOf(operation, plan, block, day);
  const key = task ? prescriptionKeyOf(operation, task) : block.prescriptionKey;
  const prescription = operation.prescriptions.find((one) => one.key === key);
  if (!prescription) return null;
  const found = facts.weatherOf(block.propertyId);
  const conditions = blockConditions(operation, block);
  const finding =
    found && conditions
      ? judgeDay(
          { prescription, block: conditions, tables: found.tables },
          found.weather,
          found.clock,
          day,
        )
      : null;
  const units = unitsOf(operation, block);
  const acres = units.reduce((sum, unit) => sum + unit.areaAcres, 0);
  const holidays = new Set(operation.holidays.map((row) => row.date));
  const missing = [
    ...readinessOf(operation, block, facts.today)
      .filter((item) => !item.isOnFile)
      .map((item) => item.missing),
    ...facts.switchesMissing(block.propertyId),
  ];
  return {
    block,
    prescription,
    task,
    finding,
    missing,
    people: { needed: block.burnPeopleLeast, there: peopleOn(operation, day, holidays).people },
    need: burnNeedOf(
      acres,
      lightingRateOf(operation, block.propertyId),
      prescriptionHours(prescription),
    ),
    claim: {
      key: block.code,
      fitDaysASeason: task ? facts.fitDaysOf(task.key) : null,
      closesInDays: closesInDays(operation, block, task, day, facts.useByOf(block.id)),
      isOverdue: units.some((unit) => fireStatus(operation, unit, day).kind === 'overdue'),
      missingCount: missing.length,
      hasBlackNeighbour: hasBlackNeighbour(operation, block, day),
      plannedFrom: task ? toDay(task.startsOn) : Number.MAX_SAFE_INTEGER,
    },
  };
}

const verdictRank = { fit: 0, unknown: 1, unfit: 2 } as const;

/**
 * Blocks that have a burn planned ahead, in order for the day: inside their limits, then not known, then outside; within
 * each by `compareClaims`. The boss may reorder.
 */
export function blocksForDay(
  operation: Operation,
  plan: PlanContent | null,
  facts: CheckFacts,
  day: IsoDate,
): BlockDay[] {
  const rank = (one: BlockDay) => verdictRank[one.finding?.verdict ?? 'unknown'];
  return operation.blocks
    .filter((block) => burnOf(operation, plan, block, day) !== null)
    .map((block) => blockDay(operation, plan, facts, block, day))
    .filter((one) => one !== null)
    .sort((a, b) => rank(a) - rank(b) || compareClaims(a.claim, b.claim));
}

/** The programme of a day on one property for the blocks that are inside their limits with nothing missing, in order. */
export function programmeOf(
  operation: Operation,
  ranked: readonly BlockDay[],
  propertyId: number,
  clock: StationClock,
  day: IsoDate,
): DayProgramme {
  const property = operation.properties.find((one) => one.id === propertyId);
  const sun = property && sunTimes(day, property.latitude, property.longitude);
  const hourOf = (utcMinutes: number | null | undefined, otherwise: number) =>
    utcMinutes == null ? otherwise : (utcMinutes + clock.standardOffsetMinutes) / 60;
  const blocks = ranked.flatMap((one): ProgrammeBlock[] => {
    const run = one.finding?.bestRun;
    const isListed =
      one.block.propertyId === propertyId &&
      one.finding?.verdict === 'fit' &&
      one.missing.length === 0 &&
      one.people.there >= one.people.needed;
    if (!isListed || !run) return [];
    const { lightHours } = one.need;
    return [{ key: one.block.code, lightHours, fitFrom: run.fromHour, fitUntil: run.untilHour }];
  });
  return dayProgramme(
    blocks,
    dayHoursDefault,
    hourOf(sun?.sunriseUtcMinutes, 6),
    hourOf(sun?.sunsetUtcMinutes, 18),
  );
}
