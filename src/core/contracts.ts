import { addDays, dateWords, type IsoDate, parseIsoDate } from './dates.ts';
import { entriesOfUnits } from './land-index.ts';
import type { Operation } from './operation.ts';
import type { PlanContent } from './plans.ts';
import type { Problem } from './problems.ts';
import type { PlannedTask } from './tasks.ts';
import type { Unit } from './units.ts';
import type { WorkDetail } from './work-details.ts';
import type { WorkEntry } from './worklog.ts';

/** What a payment rate is for. */
export const paymentBases = ['acre', 'practice'] as const;

/** Ground of a practice: the acres of the contract are not always those of the unit, so both are kept. */
export interface PracticeUnit {
  unitId: number;
  /** Acres of the contract; null = not entered. */
  contractAcres: number | null;
}

/** One practice that a contract pays a share of. */
export interface ContractPractice {
  /** As entered from the paper. */
  number: string;
  name: string;
  /** Kinds of work that carry it out. */
  treatmentKeys: string[];
  units: PracticeUnit[];
  plannedBy: IsoDate | null;
  /** Dollars of the contract, as entered; null = not entered. */
  paymentUsd: number | null;
  paymentBasis: (typeof paymentBases)[number];
}

/** A contract with a cost-share program. Its dates and rules are the program office's. */
export interface CostShareContract {
  id: number;
  propertyId: number;
  landownerId: number;
  /** Name of the program, as entered. */
  program: string;
  /** Contract number, as entered. */
  number: string;
  appliedOn: IsoDate | null;
  /** Signed by both sides; null = not approved yet. */
  approvedOn: IsoDate | null;
  firstPracticeDueOn: IsoDate | null;
  endsOn: IsoDate | null;
  practices: ContractPractice[];
  note: string;
}

/** Said wherever dates or work of a contract are shown. */
export const officeWords =
  'The contract and the program office come first: its dates and rules are theirs. Ask the office before you start.';

const dayFields = [
  ['appliedOn', 'Applied on'],
  ['approvedOn', 'Approved on'],
  ['firstPracticeDueOn', 'First practice due by'],
  ['endsOn', 'Ends on'],
] as const;

function practiceProblems(practice: ContractPractice, at: number): Problem[] {
  const problems: Problem[] = [];
  const name = `Practice ${at}`;
  const say = (field: string, message: string) =>
    problems.push({ code: `contract-${field}`, field: `p${at}-${field}`, message });
  if (practice.number.trim() === '')
    say('number', `${name}, Number: write it as it stands in the contract.`);
  if (practice.treatmentKeys.length === 0)
    say('treatments', `${name}, Work: pick at least one kind of work that carries it out.`);
  const ids = practice.units.map(({ unitId }) => unitId);
  if (ids.length === 0) say('units', `${name}, Units: name at least one unit.`);
  if (new Set(ids).size < ids.length) say('units', `${name}, Units: name each unit once.`);
  if (practice.units.some(({ contractAcres: acres }) => acres !== null && !(acres > 0)))
    say('units', `${name}, Units: write contract acres above 0, or leave them out.`);
  if (practice.plannedBy !== null && !parseIsoDate(practice.plannedBy))
    say('plannedBy', `${name}, Planned by: give a real day, or leave it blank.`);
  const { paymentUsd } = practice;
  if (paymentUsd !== null && !(paymentUsd >= 0 && Number.isFinite(paymentUsd)))
    say('paymentUsd', `${name}, Payment: give dollars from 0 up, or leave it blank.`);
  return problems;
}

/** What is wrong with a contract as entered; empty = it can be stored. */
export function checkContract(contract: Omit<CostShareContract, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `contract-${field}`, field, ref: contract.number, message });
  if (contract.program.trim() === '') say('program', 'Program: write its name.');
  for (const [field, name] of dayFields) {
    const day = contract[field];
    if (day !== null && !parseIsoDate(day))
      say(field, `${name}: give a real day, such as 2027-06-30, or leave it blank.`);
  }
  const { appliedOn, approvedOn, firstPracticeDueOn, endsOn } = contract;
  if (appliedOn && approvedOn && approvedOn < appliedOn)
    say('approvedOn', 'Approved on: it can not be before the day of the application.');
  const begins = approvedOn ?? appliedOn;
  if (begins && endsOn && endsOn < begins)
    say('endsOn', 'Ends on: it can not be before the contract begins.');
  if (firstPracticeDueOn && endsOn && endsOn < firstPracticeDueOn)
    say('firstPracticeDueOn', 'First practice due by: it can not be after the contract ends.');
  if (contract.practices.length === 0) say('practices', 'Practices: add at least one.');
  contract.practices.forEach((practice, index) => {
    problems.push(...practiceProblems(practice, index + 1));
  });
  return problems;
}

/**
 * Days before the approval in which work on a practice's units is asked about when no day of the application is on
 * file. Our own judgement: older work was hardly done for the contract.
 */
const daysBeforeApproval = 365;

const firstDayOf = (entry: WorkEntry): IsoDate => entry.startedOn ?? entry.doneOn;

const isWork = ({ outcome }: WorkEntry) => outcome !== 'not-possible';

function isOfPractice(practice: ContractPractice, unitId: number, treatmentKey: string): boolean {
  return (
    practice.treatmentKeys.includes(treatmentKey) &&
    practice.units.some((row) => row.unitId === unitId)
  );
}

/**
 * First day from which work counts as the contract's business: the application, else a year before the approval
 * (before `today` while there is none).
 */
function askedFrom(contract: CostShareContract, today: IsoDate): IsoDate {
  return contract.appliedOn ?? addDays(contract.approvedOn ?? today, -daysBeforeApproval);
}

/** Fires that nobody planned are nobody's practice. */
const isOwnWork = (entry: WorkEntry) =>
  isWork(entry) && (entry.fireCause === null || entry.fireCause === 'planned');

/** Work of a practice that began before the contract was approved; while it is not approved, all work of it. */
export function isBeforeApproval(
  contract: CostShareContract,
  practice: ContractPractice,
  entry: WorkEntry,
  today: IsoDate,
): boolean {
  const startedOn = firstDayOf(entry);
  return (
    isOwnWork(entry) &&
    isOfPractice(practice, entry.unitId, entry.treatmentKey) &&
    startedOn >= askedFrom(contract, today) &&
    (contract.approvedOn === null || startedOn < contract.approvedOn)
  );
}

/** Names a contract in a sentence: "Prairie share 12-88". */
export function contractName({ program, number }: CostShareContract): string {
  return [program, number].filter((part) => part.trim() !== '').join(' ');
}

/** A sentence for each contract that an entry came too early for; empty = none. Flagged only: the entry stays. */
export function beforeApprovalWords(
  operation: Pick<Operation, 'contracts'>,
  entry: WorkEntry,
  today: IsoDate,
): string[] {
  return operation.contracts.flatMap((contract) => {
    const found = contract.practices.filter((practice) =>
      isBeforeApproval(contract, practice, entry, today),
    );
    if (found.length === 0) return [];
    const numbers = found.map(({ number }) => number).join(', ');
    const { approvedOn } = contract;
    const when = approvedOn
      ? `began before the approval of ${contractName(contract)} on ${dateWords(approvedOn)}`
      : `was done while ${contractName(contract)} is not approved`;
    return [`Practice ${numbers}: this work ${when}. Ask the office whether it counts.`];
  });
}

/** A practice of a contract with what was done for it. */
export interface PracticeStanding {
  practice: ContractPractice;
  units: {
    unit: Unit;
    contractAcres: number | null;
    acresDone: number;
    /** Last day of work that counts; null = none yet. */
    doneOn: IsoDate | null;
  }[];
  /** Sum over units; unit acres stand in where no contract acres are entered. */
  contractAcres: number;
  unitAcres: number;
  acresDone: number;
  isDone: boolean;
  doneOn: IsoDate | null;
  photoCount: number;
  spentUsd: number;
  personHours: number;
  /** By the rate as entered and the acres done, at most the contract acres; null = no rate. */
  paymentUsd: number | null;
  /** Work that counts, oldest first. */
  entries: WorkEntry[];
  early: WorkEntry[];
  /** Planned work of it, and whether that begins before the approval. */
  planned: { task: PlannedTask; isBeforeApproval: boolean }[];
}

/** An entry covers what it says; one that says "done" without acres covers the whole unit. */
function acresOf(entry: WorkEntry, unit: Unit): number {
  return entry.areaAcres ?? (entry.outcome === 'done' ? unit.areaAcres : 0);
}

/** Acres may fall short by this much and count as done: acres of maps and contracts are rounded. */
const acresSlack = 0.1;

const sumOf = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0);

function plannedWork(
  operation: Operation,
  plan: PlanContent | null,
  contract: CostShareContract,
  practice: ContractPractice,
): PracticeStanding['planned'] {
  const answered = new Set(operation.entries.map(({ taskKey }) => taskKey));
  return (plan?.tasks ?? [])
    .filter((task) => !answered.has(task.key) && practice.treatmentKeys.includes(task.treatmentKey))
    .filter((task) =>
      operation.units.some(
        (unit) =>
          practice.units.some(({ unitId }) => unitId === unit.id) &&
          (task.unitId === null ? unit.blockId === task.blockId : unit.id === task.unitId),
      ),
    )
    .map((task) => ({
      task,
      isBeforeApproval: contract.approvedOn === null || task.startsOn < contract.approvedOn,
    }));
}

function paymentOf(practice: ContractPractice, acres: number, isDone: boolean): number | null {
  const { paymentUsd, paymentBasis } = practice;
  if (paymentUsd === null) return null;
  if (paymentBasis === 'practice') return isDone ? paymentUsd : 0;
  return paymentUsd * acres;
}

function standingOf(
  operation: Operation,
  plan: PlanContent | null,
  contract: CostShareContract,
  practice: ContractPractice,
  details: readonly WorkDetail[],
  today: IsoDate,
): PracticeStanding {
  const { approvedOn, endsOn } = contract;
  const unitIds = new Set(practice.units.map(({ unitId }) => unitId));
  const own = entriesOfUnits(operation.entries, unitIds)
    .filter((entry) => isOwnWork(entry))
    .filter((entry) => isOfPractice(practice, entry.unitId, entry.treatmentKey));
  const counts = own.filter(
    (entry) =>
      approvedOn !== null &&
      firstDayOf(entry) >= approvedOn &&
      (endsOn === null || entry.doneOn <= endsOn),
  );
  const units = practice.units.flatMap(({ unitId, contractAcres }) => {
    const unit = operation.units.find((one) => one.id === unitId);
    if (!unit) return [];
    const ofUnit = counts.filter((entry) => entry.unitId === unitId);
    // A second pass over the same ground makes no more of it.
    const acresDone = Math.min(unit.areaAcres, sumOf(ofUnit.map((entry) => acresOf(entry, unit))));
    const days = ofUnit.map(({ doneOn }) => doneOn).sort();
    return [{ unit, contractAcres, acresDone, doneOn: days.at(-1) ?? null }];
  });
  const asked = (row: (typeof units)[number]) => row.contractAcres ?? row.unit.areaAcres;
  // Contract acres above those of the unit can not all be worked: then the whole unit is all there is.
  const isDone =
    units.length > 0 &&
    units.every((row) => row.acresDone >= Math.min(asked(row), row.unit.areaAcres) - acresSlack);
  const paid = sumOf(units.map((row) => Math.min(row.acresDone, asked(row))));
  const ids = new Set(counts.map(({ id }) => id));
  const evidence = details.filter(({ entryId }) => ids.has(entryId));
  return {
    practice,
    units,
    contractAcres: sumOf(units.map(asked)),
    unitAcres: sumOf(units.map(({ unit }) => unit.areaAcres)),
    acresDone: sumOf(units.map(({ acresDone }) => acresDone)),
    isDone,
    doneOn:
      units
        .flatMap(({ doneOn }) => doneOn ?? [])
        .sort()
        .at(-1) ?? null,
    photoCount: sumOf(evidence.map(({ photos }) => photos.length)),
    spentUsd: sumOf(evidence.map(({ moneyUsd }) => moneyUsd ?? 0)),
    personHours: sumOf(counts.map(({ personHours }) => personHours ?? 0)),
    paymentUsd: paymentOf(practice, paid, isDone),
    entries: counts.sort((a, b) => (a.doneOn < b.doneOn ? -1 : 1)),
    early: own.filter((entry) => isBeforeApproval(contract, practice, entry, today)),
    planned: plannedWork(operation, plan, contract, practice),
  };
}

/** Every practice of a contract with what was done, what is open and what came too early. */
export function contractStandings(
  operation: Operation,
  plan: PlanContent | null,
  contract: CostShareContract,
  details: readonly WorkDetail[],
  today: IsoDate,
): PracticeStanding[] {
  return contract.practices.map((practice) =>
    standingOf(operation, plan, contract, practice, details, today),
  );
}

/** A day that a contract sets, while what it is for is still open. */
export interface ContractDeadline {
  contract: CostShareContract;
  /** `first`, `ends`, or `practice-` and its place. */
  key: string;
  day: IsoDate;
  words: string;
  unitIds: number[];
}

/**
 * Days of contracts that are still ahead or were missed: the first practice while none is begun, each practice while it
 * is not done, and the end. A contract that ended gives none.
 */
export function contractDeadlines(
  operation: Operation,
  contracts: readonly CostShareContract[],
  today: IsoDate,
): ContractDeadline[] {
  return contracts.flatMap((contract) => {
    if (contract.endsOn !== null && contract.endsOn < today) return [];
    const standings = contractStandings(operation, null, contract, [], today);
    const unitIds = [
      ...new Set(contract.practices.flatMap(({ units }) => units.map(({ unitId }) => unitId))),
    ].filter((id) => operation.units.some((unit) => unit.id === id));
    const name = contractName(contract);
    const isBegun = standings.some(({ entries }) => entries.length > 0);
    const { firstPracticeDueOn, endsOn } = contract;
    const days: ContractDeadline[] = [];
    const add = (key: string, day: IsoDate | null, words: string, ids = unitIds) => {
      if (day !== null) days.push({ contract, key, day, words, unitIds: ids });
    };
    if (!isBegun) add('first', firstPracticeDueOn, `${name}: first practice due`);
    standings.forEach(({ practice, isDone, units }, index) => {
      const what = [practice.number, practice.name].filter(Boolean).join(' ');
      const ids = units.map(({ unit }) => unit.id);
      if (!isDone)
        add(`practice-${index + 1}`, practice.plannedBy, `${name}: ${what} planned by`, ids);
    });
    add('ends', endsOn, `${name}: contract ends`);
    return days;
  });
}

/** A unit that was split: each part takes its share of the contract acres by its own acres, to hundredths. */
export function contractsWithParts(
  contracts: readonly CostShareContract[],
  unitId: number,
  parts: readonly { id: number; areaAcres: number }[],
  shared: (amount: number, weights: readonly number[]) => number[],
): CostShareContract[] {
  const weights = parts.map(({ areaAcres }) => areaAcres);
  const split = (row: PracticeUnit): PracticeUnit[] => {
    if (row.unitId !== unitId) return [row];
    const acres = row.contractAcres === null ? null : shared(row.contractAcres, weights);
    return parts.map(({ id }, at) => ({ unitId: id, contractAcres: acres?.[at] ?? null }));
  };
  return withUnits(contracts, unitId, (units) => units.flatMap(split));
}

/** Units that were merged: the kept one stands for all, with the contract acres of all that were entered. */
export function contractsWithMerged(
  contracts: readonly CostShareContract[],
  ids: readonly number[],
  keepId: number,
): CostShareContract[] {
  return contracts.map((contract) => ({
    ...contract,
    practices: contract.practices.map((practice) => {
      const own = practice.units.filter(({ unitId }) => ids.includes(unitId));
      if (own.length === 0) return practice;
      const entered = own.flatMap(({ contractAcres }) => contractAcres ?? []);
      const contractAcres = entered.length === 0 ? null : sumOf(entered);
      const rest = practice.units.filter(({ unitId }) => !ids.includes(unitId));
      return { ...practice, units: [...rest, { unitId: keepId, contractAcres }] };
    }),
  }));
}

function withUnits(
  contracts: readonly CostShareContract[],
  unitId: number,
  change: (units: PracticeUnit[]) => PracticeUnit[],
): CostShareContract[] {
  return contracts.map((contract) =>
    contract.practices.some(({ units }) => units.some((row) => row.unitId === unitId))
      ? {
          ...contract,
          practices: contract.practices.map((practice) => ({
            ...practice,
            units: change(practice.units),
          })),
        }
      : contract,
  );
}
