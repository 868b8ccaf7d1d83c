import type { ContractPractice, CostShareContract } from './contracts.ts';
import { type DateRange, type IsoDate, rangeHolds } from './dates.ts';
import type { GrazingSpan } from './grazing.ts';
import type { Lease } from './leases.ts';
import type { Operation } from './operation.ts';
import type { Plan } from './plans.ts';
import type { PointToProtect } from './points.ts';
import type { Landowner, Property } from './properties.ts';
import { countsAcres, seasonReport, seasonSpan, treatedAcres } from './season-report.ts';
import { type PlannedTaskFate, slipsOf } from './season-slips.ts';
import type { PlannedTask } from './tasks.ts';
import type { Family, Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { WorkDetail } from './work-details.ts';

/** Kinds of work that change what a landowner sees; checks, photos and papers are left to the crew. */
const seenFamilies: readonly Family[] = ['burn', 'cut', 'spray', 'plant', 'line'];

/** Work of one kind as a letter tells it. */
export interface LetterWork {
  name: string;
  family: Family;
  /** Among what is cut. */
  isCedar: boolean;
  countsAcres: boolean;
  places: {
    units: Unit[];
    areaAcres: number;
    startsOn: IsoDate | null;
    lastDay: IsoDate | null;
    /** One day inside the span, when the weather allows. */
    isWhenFit: boolean;
  }[];
}

/** A share of the cost that somebody else pays, as its contract has it. */
export interface LetterShare {
  contract: CostShareContract;
  practice: ContractPractice;
  /** Null where an acre of the contract was not entered. */
  contractAcres: number | null;
  unitAcres: number;
}

export interface OwnerLetterContent {
  owner: Landowner;
  properties: Property[];
  season: number;
  /** Before: planned in the season. After: done in it. */
  work: LetterWork[];
  /** The two seasons after, without line work. */
  ahead: { season: number; work: LetterWork[] }[];
  /** Before: of the season before. After: of the season itself. */
  slips: PlannedTaskFate[];
  /** False: no plan was in force then, so nothing can have slipped. */
  hadPlan: boolean;
  leases: Lease[];
  grazing: GrazingSpan[];
  /** Gates and ways out. */
  gates: PointToProtect[];
  stands: PointToProtect[];
  /** Units to burn whose landowner has not said yes for the season. */
  withoutConsent: Unit[];
  shares: LetterShare[];
  /** Before: days of contract crews at their price. After: money as entered. In dollars. */
  costUsd: number;
}

function unitsOfTask(
  operation: Operation,
  task: { blockId: number; unitId: number | null },
): Unit[] {
  return operation.units.filter((unit) =>
    task.unitId === null ? unit.blockId === task.blockId : unit.id === task.unitId,
  );
}

function blankWork(
  treatment: Treatment | undefined,
  { name, family }: { name: string; family: Family },
): LetterWork {
  return {
    name: treatment?.name ?? name,
    family,
    isCedar: treatment?.speciesGroups.some((group) => /cedar/i.test(group)) ?? false,
    countsAcres: countsAcres(treatment),
    places: [],
  };
}

/** Planned tasks that start in a span, by kind of work, burns first. */
function plannedWork(operation: Operation, tasks: readonly PlannedTask[]): LetterWork[] {
  const byKey = new Map<string, LetterWork>();
  for (const task of tasks) {
    const treatment = operation.treatments.find(({ key }) => key === task.treatmentKey);
    const work = byKey.get(task.treatmentKey) ?? blankWork(treatment, task);
    const { areaAcres, startsOn, lastDay, isWhenFit } = task;
    const units = unitsOfTask(operation, task);
    work.places.push({ units, areaAcres, startsOn, lastDay, isWhenFit });
    byKey.set(task.treatmentKey, work);
  }
  return inOrder([...byKey.values()]);
}

function inOrder(work: LetterWork[]): LetterWork[] {
  const rank = ({ family }: LetterWork) => seenFamilies.indexOf(family);
  return work.sort((a, b) => rank(a) - rank(b) || (a.name < b.name ? -1 : 1));
}

/** Facts of a span, by kind of work. */
function doneWork(operation: Operation, units: readonly Unit[], span: DateRange): LetterWork[] {
  const byKey = new Map<string, LetterWork>();
  for (const entry of operation.entries) {
    const unit = units.find(({ id }) => id === entry.unitId);
    const treatment = operation.treatments.find(({ key }) => key === entry.treatmentKey);
    const isDone = entry.outcome === 'done' || entry.outcome === 'partly';
    if (!unit || !treatment || !isDone || !rangeHolds(span, entry.doneOn)) continue;
    if (!seenFamilies.includes(treatment.family)) continue;
    const work = byKey.get(treatment.key) ?? blankWork(treatment, treatment);
    work.places.push({
      units: [unit],
      areaAcres: treatedAcres(entry, unit) ?? 0,
      startsOn: entry.startedOn ?? entry.doneOn,
      lastDay: entry.doneOn,
      isWhenFit: false,
    });
    byKey.set(treatment.key, work);
  }
  return inOrder([...byKey.values()]);
}

const touches = (unitIds: readonly number[], units: readonly Unit[]) =>
  unitIds.length === 0 || units.some(({ id }) => unitIds.includes(id));

function isOnBlock({ blocks }: Operation, { blockId }: Unit, startsOn: IsoDate | null): boolean {
  const until = blocks.find(({ id }) => id === blockId)?.readiness.consentUntil ?? null;
  return until !== null && startsOn !== null && until >= startsOn;
}

/** Units of burns that no consent of the landowner covers from the first day on. */
function withoutConsent(operation: Operation, burns: LetterWork[]): Unit[] {
  return burns
    .flatMap(({ places }) =>
      places.flatMap(({ units, startsOn }) => units.map((unit) => ({ unit, startsOn }))),
    )
    .filter(
      ({ unit, startsOn }) =>
        !isOnBlock(operation, unit, startsOn) &&
        !operation.consents.some(
          (consent) =>
            !consent.isNeighbour &&
            consent.propertyId === unit.propertyId &&
            consent.families.includes('burn') &&
            touches(consent.unitIds, [unit]) &&
            startsOn !== null &&
            consent.from <= startsOn &&
            (consent.until === null || consent.until >= startsOn),
        ),
    )
    .map(({ unit }) => unit);
}

/** Contracts of the owner's land whose practices touch a kind of work in the letter. */
function sharesOf(
  operation: Operation,
  properties: readonly Property[],
  treatmentKeys: ReadonlySet<string>,
): LetterShare[] {
  return operation.contracts
    .filter(({ propertyId }) => properties.some(({ id }) => id === propertyId))
    .flatMap((contract) =>
      contract.practices
        .filter((practice) => practice.treatmentKeys.some((key) => treatmentKeys.has(key)))
        .map((practice) => {
          const acres = practice.units.map(({ contractAcres }) => contractAcres);
          const unitAcres = practice.units.map(
            ({ unitId }) => operation.units.find(({ id }) => id === unitId)?.areaAcres ?? 0,
          );
          return {
            contract,
            practice,
            contractAcres: acres.some((value) => value === null)
              ? null
              : acres.reduce<number>((sum, value) => sum + (value ?? 0), 0),
            unitAcres: unitAcres.reduce((sum, value) => sum + value, 0),
          };
        }),
    );
}

/** Days of contract crews at the price of a day. */
function contractCost(operation: Operation, tasks: readonly PlannedTask[]): number {
  const price = new Map(
    operation.crews
      .filter(({ kind }) => kind === 'contract')
      .map(({ id, costPerDayUsd }) => [id, costPerDayUsd]),
  );
  return tasks
    .flatMap(({ crewShares }) => crewShares)
    .reduce((sum, { crewId, days }) => {
      const tenths = days.reduce((total, day) => total + day.tenths, 0);
      return sum + ((price.get(crewId) ?? 0) * tenths) / 10;
    }, 0);
}

/**
 * What a letter to a landowner tells of a season, of that owner's land alone. `plans`: all that are or were in force.
 * Null for an owner without land.
 */
export function ownerLetterContent(
  operation: Operation,
  ownerId: number,
  season: number,
  when: 'before' | 'after',
  plans: readonly Plan[],
  details: readonly WorkDetail[],
  today: IsoDate,
): OwnerLetterContent | null {
  const owner = operation.landowners.find(({ id }) => id === ownerId);
  const properties = operation.properties.filter(({ landownerId }) => landownerId === ownerId);
  const [first] = properties;
  if (!owner || !first) return null;
  const propertyIds = new Set(properties.map(({ id }) => id));
  const units = operation.units.filter(({ propertyId }) => propertyIds.has(propertyId));
  const tasks = (plans.at(-1)?.content.tasks ?? []).filter(
    (task) =>
      propertyIds.has(task.propertyId) &&
      task.tiedToKey === null &&
      seenFamilies.includes(task.family),
  );
  const tasksOf = (year: number) =>
    tasks.filter((task) => rangeHolds(seasonSpan(first, year), task.startsOn));
  const told = when === 'before' ? season - 1 : season;
  const report = seasonReport(operation, properties, told, plans, details, today);
  const planned = plannedWork(operation, tasksOf(season));
  const work = when === 'before' ? planned : doneWork(operation, units, seasonSpan(first, season));
  const touched = work.flatMap(({ places }) => places.flatMap((place) => place.units));
  const keys = new Set(
    when === 'before'
      ? tasksOf(season).map(({ treatmentKey }) => treatmentKey)
      : report.treatments.filter((row) => row.entries > 0).map((row) => row.treatmentKey),
  );
  const ofLand = <R extends { propertyId: number; unitIds: number[] }>(rows: readonly R[]) =>
    rows.filter((row) => propertyIds.has(row.propertyId) && touches(row.unitIds, touched));
  return {
    ...{ owner, properties, season, work },
    ahead: [season + 1, season + 2].map((year) => ({
      season: year,
      work: plannedWork(
        operation,
        tasksOf(year).filter(({ family }) => family !== 'line'),
      ),
    })),
    hadPlan: report.plans > 0,
    slips: slipsOf(report.fates).filter(({ family }) => seenFamilies.includes(family)),
    leases: touched.length === 0 ? [] : ofLand(operation.leases),
    grazing: touched.length === 0 ? [] : ofLand(operation.grazing),
    gates: ofLand(operation.points).filter(({ kind }) => kind === 'gate' || kind === 'way-out'),
    stands: ofLand(operation.points).filter(({ kind }) => kind === 'stand'),
    withoutConsent: withoutConsent(
      operation,
      planned.filter(({ family }) => family === 'burn'),
    ),
    shares: sharesOf(operation, properties, keys),
    costUsd:
      when === 'before'
        ? contractCost(operation, tasksOf(season))
        : report.treatments.reduce((sum, row) => sum + row.moneyUsd, 0),
  };
}
