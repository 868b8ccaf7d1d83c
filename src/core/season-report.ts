import { addDays, type DateRange, firstDayIn, type IsoDate, monthOf, rangeHolds } from './dates.ts';
import type { Operation } from './operation.ts';
import type { Plan } from './plans.ts';
import type { Property } from './properties.ts';
import { type FireStatus, fireStatus, fires } from './rotation.ts';
import { needByCommunity } from './rotation-needs.ts';
import { type PlannedTaskFate, plannedFates, plansDuring } from './season-slips.ts';
import type { Family, Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { WorkDetail } from './work-details.ts';
import type { WorkEntry } from './worklog.ts';

/** Work of one treatment in a season. Acres are treated acres: an acre worked twice counts twice. */
export interface TreatmentTotals {
  treatmentKey: string;
  name: string;
  family: Family;
  /** False: only times and hours are counted. */
  countsAcres: boolean;
  /** Acres by month, in the order of the months of the report. */
  acresByMonth: number[];
  /** Acres of planned tasks by the month that they were first planned to start in. */
  plannedByMonth: number[];
  /** Of entries that are known to the year only. */
  acresWithoutMonth: number;
  doneAcres: number;
  entries: number;
  /** Entries that are done in part without acres: they count none. */
  withoutAcres: number;
  personHours: number;
  crewDays: number;
  moneyUsd: number;
  plannedTasks: number;
  plannedAcres: number;
  /** Of the planned tasks; late ones are among them. */
  doneTasks: number;
}

export interface FireStanding {
  kind: FireStatus['kind'];
  startUnits: number;
  startAcres: number;
  endUnits: number;
  endAcres: number;
}

export interface NextTotals {
  name: string;
  family: Family;
  tasks: number;
  areaAcres: number;
  crewDays: number;
}

export interface SeasonReport {
  season: number;
  from: IsoDate;
  /** Last day of the season, or today while it goes on. */
  until: IsoDate;
  isOver: boolean;
  /** 1 to 12, from the first month of the season on. */
  months: number[];
  treatments: TreatmentTotals[];
  gearHours: { gearKey: string; name: string; hours: number }[];
  fire: FireStanding[];
  burned: { burnedAcres: number; plannedAcres: number; targetAcres: number; leastAcres: number };
  /** Plans that were in force at some time of the season; none = nothing can be said of what slipped. */
  plans: number;
  fates: PlannedTaskFate[];
  next: NextTotals[];
}

/** The burning season of a property that starts in the year; its end is not in it. */
export function seasonSpan(
  property: Pick<Property, 'burningSeasonStart'>,
  season: number,
): DateRange {
  return {
    startsOn: firstDayIn(season, property.burningSeasonStart),
    endsBefore: firstDayIn(season + 1, property.burningSeasonStart),
  };
}

/**
 * True where acres say how much was done: burns, and cutting, spraying, planting and soil work that is reckoned by the
 * acre. Line work goes by the foot, and looking at land treats none of it.
 */
export function countsAcres(treatment: Pick<Treatment, 'family' | 'rate'> | undefined): boolean {
  if (!treatment || treatment.family === 'monitor' || treatment.family === 'notice') return false;
  return treatment.family === 'burn' || treatment.rate.basis === 'acre';
}

/** True for a fact inside the span; one known to the year only counts in the season that holds 1 January of it. */
const isDoneIn = (span: DateRange, entry: WorkEntry) => rangeHolds(span, entry.doneOn);

/**
 * Treated acres of an entry: as noted; else of the unit when it was done, for a fire times the share black. Null when it
 * was done in part and nobody noted the acres.
 */
export function treatedAcres(entry: WorkEntry, unit: Unit): number | null {
  if (entry.outcome === 'not-possible' || entry.outcome === 'under-way') return 0;
  if (entry.areaAcres !== null) return entry.areaAcres;
  if (entry.shareBlackPercent !== null) return (unit.areaAcres * entry.shareBlackPercent) / 100;
  return entry.outcome === 'done' ? unit.areaAcres : null;
}

function blankTotals(
  operation: Operation,
  treatmentKey: string,
  months: readonly number[],
): TreatmentTotals {
  const treatment = operation.treatments.find(({ key }) => key === treatmentKey);
  return {
    treatmentKey,
    name: treatment?.name ?? treatmentKey,
    family: treatment?.family ?? 'notice',
    countsAcres: countsAcres(treatment),
    acresByMonth: months.map(() => 0),
    plannedByMonth: months.map(() => 0),
    ...{ acresWithoutMonth: 0, doneAcres: 0, entries: 0, withoutAcres: 0 },
    ...{ personHours: 0, crewDays: 0, moneyUsd: 0 },
    ...{ plannedTasks: 0, plannedAcres: 0, doneTasks: 0 },
  };
}

function addEntry(
  totals: TreatmentTotals,
  entry: WorkEntry,
  unit: Unit,
  months: readonly number[],
  detail: WorkDetail | undefined,
): void {
  const acres = totals.countsAcres ? treatedAcres(entry, unit) : 0;
  totals.entries += 1;
  totals.personHours += entry.personHours ?? 0;
  totals.crewDays += entry.crewDays ?? 0;
  totals.moneyUsd += detail?.moneyUsd ?? 0;
  if (acres === null) totals.withoutAcres += 1;
  totals.doneAcres += acres ?? 0;
  const at = months.indexOf(monthOf(entry.doneOn));
  if (entry.precision === 'year') totals.acresWithoutMonth += acres ?? 0;
  else totals.acresByMonth[at] = (totals.acresByMonth[at] ?? 0) + (acres ?? 0);
}

interface Scope {
  operation: Operation;
  units: Unit[];
  season: number;
  spanOf(unit: Unit): DateRange;
  today: IsoDate;
  /** Facts of the season, with their units. */
  log: { entry: WorkEntry; unit: Unit }[];
}

function entriesIn({
  operation,
  units,
  spanOf,
}: Omit<Scope, 'log'>): { entry: WorkEntry; unit: Unit }[] {
  const byId = new Map(units.map((unit) => [unit.id, unit]));
  return operation.entries.flatMap((entry) => {
    const unit = byId.get(entry.unitId);
    return unit && isDoneIn(spanOf(unit), entry) ? [{ entry, unit }] : [];
  });
}

function treatmentTotals(
  scope: Scope,
  fates: readonly PlannedTaskFate[],
  details: readonly WorkDetail[],
  months: readonly number[],
): TreatmentTotals[] {
  const detailOf = new Map(details.map((detail) => [detail.entryId, detail]));
  const byKey = new Map<string, TreatmentTotals>();
  const totalsOf = (key: string) => {
    const totals = byKey.get(key) ?? blankTotals(scope.operation, key, months);
    byKey.set(key, totals);
    return totals;
  };
  for (const { entry, unit } of scope.log)
    addEntry(totalsOf(entry.treatmentKey), entry, unit, months, detailOf.get(entry.id));
  for (const { treatmentKey, startsOn, areaAcres, fate } of fates) {
    if (startsOn === null) continue;
    const totals = totalsOf(treatmentKey);
    totals.plannedTasks += 1;
    const acres = totals.countsAcres ? areaAcres : 0;
    const at = months.indexOf(monthOf(startsOn));
    totals.plannedAcres += acres;
    totals.plannedByMonth[at] = (totals.plannedByMonth[at] ?? 0) + acres;
    if (fate === 'done' || fate === 'late') totals.doneTasks += 1;
  }
  return [...byKey.values()].sort(
    (a, b) => b.doneAcres - a.doneAcres || (a.name < b.name ? -1 : 1),
  );
}

function gearTotals(scope: Scope, details: readonly WorkDetail[]): SeasonReport['gearHours'] {
  const ids = new Set(scope.log.map(({ entry }) => entry.id));
  const hours = new Map<string, number>();
  for (const detail of details)
    if (ids.has(detail.entryId))
      for (const one of detail.gearHours)
        hours.set(one.gearKey, (hours.get(one.gearKey) ?? 0) + one.hours);
  const nameOf = (gearKey: string) =>
    scope.operation.gear.find(({ key }) => key === gearKey)?.name ?? gearKey;
  return [...hours]
    .map(([gearKey, sum]) => ({ gearKey, name: nameOf(gearKey), hours: sum }))
    .sort((a, b) => b.hours - a.hours);
}

const kinds = ['overdue', 'no-fire-on-record', 'within', 'held', 'not-planned'] as const;

function fireStandings({ operation, units, spanOf, today }: Scope): FireStanding[] {
  const standings = new Map<FireStatus['kind'], FireStanding>(
    kinds.map((kind) => [kind, { kind, startUnits: 0, startAcres: 0, endUnits: 0, endAcres: 0 }]),
  );
  for (const unit of units) {
    const { startsOn, endsBefore } = spanOf(unit);
    const end = today < endsBefore ? today : addDays(endsBefore, -1);
    const before = standings.get(fireStatus(operation, unit, startsOn).kind)!;
    before.startUnits += 1;
    before.startAcres += unit.areaAcres;
    const after = standings.get(fireStatus(operation, unit, end).kind)!;
    after.endUnits += 1;
    after.endAcres += unit.areaAcres;
  }
  return [...standings.values()].filter(({ startUnits, endUnits }) => startUnits + endUnits > 0);
}

function burnedAcres({ operation, units, spanOf }: Scope): number {
  return units
    .flatMap((unit) =>
      fires(operation, unit)
        .filter((fire) => isDoneIn(spanOf(unit), fire))
        .map((fire) => fire.areaAcres ?? (unit.areaAcres * (fire.shareBlackPercent ?? 100)) / 100),
    )
    .reduce((sum, acres) => sum + acres, 0);
}

/** Tasks of the plan in force that start in the season after. */
function nextTotals(
  plan: Plan | null,
  spans: ReadonlyMap<number, DateRange>,
  operation: Operation,
): NextTotals[] {
  const byKey = new Map<string, NextTotals>();
  for (const task of plan?.content.tasks ?? []) {
    const span = spans.get(task.propertyId);
    if (!span || !rangeHolds(span, task.startsOn) || task.tiedToKey !== null) continue;
    const treatment = operation.treatments.find(({ key }) => key === task.treatmentKey);
    const before = byKey.get(task.treatmentKey);
    byKey.set(task.treatmentKey, {
      name: treatment?.name ?? task.name,
      family: task.family,
      tasks: (before?.tasks ?? 0) + 1,
      areaAcres: (before?.areaAcres ?? 0) + (countsAcres(treatment) ? task.areaAcres : 0),
      crewDays: (before?.crewDays ?? 0) + task.crewDaysTenths / 10,
    });
  }
  return [...byKey.values()].sort((a, b) => b.areaAcres - a.areaAcres);
}

/**
 * One burning season of one or more properties: what was done by treatment and month, planned against done, hours,
 * money, fire status at both ends, acres burned against what the intervals ask, what became of what was planned,
 * and the season after. `plans`: all that are or were in force. Acres as planned by; money in dollars as entered.
 */
export function seasonReport(
  operation: Operation,
  properties: readonly Property[],
  season: number,
  plans: readonly Plan[],
  details: readonly WorkDetail[],
  today: IsoDate,
): SeasonReport {
  const spans = new Map(properties.map((one) => [one.id, seasonSpan(one, season)]));
  const [first] = properties;
  const span = first ? seasonSpan(first, season) : { startsOn: today, endsBefore: today };
  const units = operation.units.filter((unit) => spans.has(unit.propertyId));
  const spanOf = (unit: Unit) => spans.get(unit.propertyId) ?? span;
  const asked = { operation, units, season, today, spanOf };
  const scope: Scope = { ...asked, log: entriesIn(asked) };
  const startMonth = monthOf(span.startsOn);
  const months = Array.from({ length: 12 }, (_, at) => ((startMonth - 1 + at) % 12) + 1);
  const fates = properties.flatMap((one) =>
    plannedFates(operation, plans, spans.get(one.id) ?? span, new Set([one.id]), today),
  );
  const needs = properties.flatMap((one) => needByCommunity(operation, one));
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
  const isOver = today >= span.endsBefore;
  return {
    season,
    from: span.startsOn,
    until: isOver ? addDays(span.endsBefore, -1) : today,
    isOver,
    months,
    treatments: treatmentTotals(scope, fates, details, months),
    gearHours: gearTotals(scope, details),
    fire: fireStandings(scope),
    burned: {
      burnedAcres: burnedAcres(scope),
      plannedAcres: sum(
        fates
          .filter(({ family, startsOn }) => family === 'burn' && startsOn !== null)
          .map(({ areaAcres }) => areaAcres),
      ),
      targetAcres: sum(needs.map((need) => need.targetAcresAYear)),
      leastAcres: sum(needs.map((need) => need.leastAcresAYear)),
    },
    plans: plansDuring(plans, span).length,
    fates,
    next: nextTotals(
      plans.at(-1) ?? null,
      new Map(properties.map((one) => [one.id, seasonSpan(one, season + 1)])),
      operation,
    ),
  };
}
