import {
  type CostShareContract,
  contractDeadlines,
  contractName,
  contractStandings,
  officeWords,
  type PracticeStanding,
} from '../../core/contracts.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

export interface ContractLine {
  name: string;
  path: string;
  property: string;
  approved: string;
  isApproved: boolean;
  /** The next day that its papers set, and what for. */
  next: string;
  isLate: boolean;
  open: string;
  /** Entries of work before the approval. */
  early: string;
}

export interface ContractsPage {
  shell: Shell;
  lines: ContractLine[];
  office: string;
}

interface LinkLine {
  name: string;
  path: string;
  words: string;
}

export interface PracticeLine {
  name: string;
  contractAcres: string;
  unitAcres: string;
  acresDone: string;
  doneOn: string;
  photos: string;
  spent: string;
  payment: string;
  open: string;
  isLate: boolean;
  work: string;
  units: {
    name: string;
    path: string;
    contractAcres: string;
    unitAcres: string;
    acresDone: string;
    doneOn: string;
  }[];
}

export interface ContractPage {
  shell: Shell;
  name: string;
  /** Property and landowner. */
  who: string;
  madeOn: string;
  path: string;
  editPath: string;
  csvPath: string;
  facts: { name: string; words: string }[];
  practices: PracticeLine[];
  early: LinkLine[];
  planned: (LinkLine & { isEarly: boolean })[];
  office: string;
}

const nameOf = (rows: readonly { id: number; name: string }[], id: number): string =>
  rows.find((row) => row.id === id)?.name ?? '';

const acres = (value: number) => words.number(value, 2);

function standings(deps: Deps, contract: CostShareContract, today: IsoDate): PracticeStanding[] {
  const plan = deps.plans.inForce()?.content ?? null;
  return contractStandings(deps.operation(), plan, contract, deps.worklog.details(), today);
}

function todayOn(deps: Deps, { propertyId }: CostShareContract): IsoDate {
  return todayAt(
    deps,
    deps.operation().properties.find(({ id }) => id === propertyId),
  );
}

function contractLine(deps: Deps, contract: CostShareContract): ContractLine {
  const operation = deps.operation();
  const today = todayOn(deps, contract);
  const found = standings(deps, contract, today);
  const open = found.filter(({ isDone }) => !isDone).length;
  const early = new Set(found.flatMap((one) => one.early.map(({ id }) => id))).size;
  const [next] = contractDeadlines(operation, [contract], today).sort((a, b) =>
    a.day < b.day ? -1 : 1,
  );
  const name = contractName(contract);
  const what = next?.words.replace(`${name}: `, '') ?? '';
  return {
    name,
    path: `/contracts/${contract.id}`,
    property: nameOf(operation.properties, contract.propertyId),
    approved: contract.approvedOn ? words.date(contract.approvedOn) : 'not yet',
    isApproved: contract.approvedOn !== null,
    next: next ? `${words.date(next.day)}, ${what}${next.day < today ? ' (passed)' : ''}` : '',
    isLate: next !== undefined && next.day < today,
    open: `${open} of ${words.count(found.length, 'practice')}`,
    early: early === 0 ? '' : words.count(early, 'entry', 'entries'),
  };
}

/** What the list of contracts shows. */
export function contractsPage(deps: Deps): ContractsPage {
  return {
    shell: shellOf(deps, 'more', 'What do the cost-share contracts ask?'),
    lines: deps.operation().contracts.map((contract) => contractLine(deps, contract)),
    office: officeWords,
  };
}

function openWords(one: PracticeStanding, contract: CostShareContract, today: IsoDate): string {
  const { plannedBy } = one.practice;
  if (one.isDone) return 'nothing';
  const by = plannedBy
    ? ` by ${words.date(plannedBy)}${plannedBy < today ? ', which has passed' : ''}`
    : '';
  const left = one.units.reduce(
    (sum, row) =>
      sum +
      Math.max(
        0,
        Math.min(row.contractAcres ?? row.unit.areaAcres, row.unit.areaAcres) - row.acresDone,
      ),
    0,
  );
  const wait = contract.approvedOn === null ? '; waits for the approval' : '';
  return `${acres(left)} acres${by}${wait}`;
}

function paymentWords({ practice, paymentUsd }: PracticeStanding): string {
  if (paymentUsd === null || practice.paymentUsd === null) return 'no rate entered';
  const rate = `${words.money(practice.paymentUsd)} ${practice.paymentBasis === 'acre' ? 'an acre' : 'when done'}`;
  return `${words.money(paymentUsd)} at ${rate}`;
}

function practiceLine(
  operation: Operation,
  one: PracticeStanding,
  contract: CostShareContract,
  today: IsoDate,
): PracticeLine {
  const { practice } = one;
  const treatmentName = (key: string) =>
    operation.treatments.find((row) => row.key === key)?.name ?? key;
  return {
    name: `${practice.number} ${practice.name}`.trim(),
    contractAcres: acres(one.contractAcres),
    unitAcres: acres(one.unitAcres),
    acresDone: acres(one.acresDone),
    doneOn: one.doneOn ? words.date(one.doneOn) : 'not begun',
    photos: String(one.photoCount),
    spent: words.money(one.spentUsd),
    payment: paymentWords(one),
    open: openWords(one, contract, today),
    isLate: !one.isDone && practice.plannedBy !== null && practice.plannedBy < today,
    work: words.list(practice.treatmentKeys.map(treatmentName)),
    units: one.units.map(({ unit, contractAcres, acresDone, doneOn }) => ({
      name: `${unit.code} ${unit.name}`.trim(),
      path: `/units/${unit.id}`,
      contractAcres: contractAcres === null ? 'not entered' : acres(contractAcres),
      unitAcres: acres(unit.areaAcres),
      acresDone: acres(acresDone),
      doneOn: doneOn ? words.date(doneOn) : 'not begun',
    })),
  };
}

/** Each once, however many practices it is of. */
function earlyLines(operation: Operation, found: readonly PracticeStanding[]): LinkLine[] {
  const numbers = new Map<WorkEntry, string[]>();
  for (const { practice, early } of found)
    for (const entry of early) numbers.set(entry, [...(numbers.get(entry) ?? []), practice.number]);
  return [...numbers].map(([entry, practices]) => {
    const unit = operation.units.find(({ id }) => id === entry.unitId);
    const treatment = operation.treatments.find(({ key }) => key === entry.treatmentKey);
    return {
      name: `${treatment?.name ?? entry.treatmentKey} on ${unit?.code ?? ''}`,
      path: `/units/${entry.unitId}`,
      words: `practice ${practices.join(', ')}: ${words.span(entry.startedOn ?? entry.doneOn, entry.doneOn)}`,
    };
  });
}

function plannedLines(found: readonly PracticeStanding[]): ContractPage['planned'] {
  const seen = new Map(
    found.flatMap(({ planned }) => planned.map((one) => [one.task.key, one] as const)),
  );
  return [...seen.values()]
    .sort((a, b) => (a.task.startsOn < b.task.startsOn ? -1 : 1))
    .map(({ task, isBeforeApproval }) => ({
      name: task.name,
      path: task.unitId === null ? '/year' : `/units/${task.unitId}`,
      words: words.span(task.startsOn, task.lastDay),
      isEarly: isBeforeApproval,
    }));
}

function factsOf(contract: CostShareContract): ContractPage['facts'] {
  const day = (at: IsoDate | null, none: string) => (at ? words.date(at) : none);
  return [
    { name: 'Applied', words: day(contract.appliedOn, 'not entered') },
    { name: 'Approved', words: day(contract.approvedOn, 'not yet') },
    { name: 'First practice due', words: day(contract.firstPracticeDueOn, 'not entered') },
    { name: 'Ends', words: day(contract.endsOn, 'not entered') },
    ...(contract.note === '' ? [] : [{ name: 'Note', words: contract.note }]),
  ];
}

function contractOf(deps: Deps, id: number): CostShareContract {
  const contract = deps.operation().contracts.find((one) => one.id === id);
  if (!contract) throw new PageError(404, 'There is no contract at this address.');
  return contract;
}

/** The summary of a contract for its office. Throws 404 when there is none. */
export function contractPage(deps: Deps, id: number): ContractPage {
  const operation = deps.operation();
  const contract = contractOf(deps, id);
  const today = todayOn(deps, contract);
  const found = standings(deps, contract, today);
  return {
    shell: shellOf(deps, 'more', 'What was done under this contract, and what is open?'),
    name: contractName(contract),
    who: [
      nameOf(operation.properties, contract.propertyId),
      nameOf(operation.landowners, contract.landownerId),
    ].join(' · '),
    madeOn: words.date(today),
    path: `/contracts/${id}`,
    editPath: `/records/contracts/${id}`,
    csvPath: `/contracts/${id}/summary.csv`,
    facts: factsOf(contract),
    practices: found.map((one) => practiceLine(operation, one, contract, today)),
    early: earlyLines(operation, found),
    planned: plannedLines(found),
    office: officeWords,
  };
}

const columns = [
  'program',
  'contract',
  'property',
  'landowner',
  'approved_on',
  'practice',
  'practice_name',
  'unit',
  'contract_acres',
  'unit_acres',
  'acres_done',
  'last_day_done',
  'planned_by',
  'photos',
  'spent_usd',
  'payment_usd_by_rate',
  'entries_before_approval',
];

/** The same as rows: one a unit of a practice, then one for the practice. Throws 404 when there is none. */
export function contractTable(deps: Deps, id: number): (string | number | null)[][] {
  const operation = deps.operation();
  const contract = contractOf(deps, id);
  const found = standings(deps, contract, todayOn(deps, contract));
  const head = [
    contract.program,
    contract.number,
    nameOf(operation.properties, contract.propertyId),
    nameOf(operation.landowners, contract.landownerId),
    contract.approvedOn,
  ];
  const tenth = (value: number) => Math.round(value * 100) / 100;
  const rows = found.flatMap((one) => {
    const { number, name, plannedBy } = one.practice;
    const units = one.units.map(({ unit, contractAcres, acresDone, doneOn }) => {
      const early = one.early.filter(({ unitId }) => unitId === unit.id).length;
      const own = [contractAcres, unit.areaAcres, tenth(acresDone), doneOn, plannedBy];
      return [...head, number, name, unit.code, ...own, null, null, null, early];
    });
    const sums = [tenth(one.contractAcres), tenth(one.unitAcres), tenth(one.acresDone)];
    const money = [one.photoCount, tenth(one.spentUsd), one.paymentUsd && tenth(one.paymentUsd)];
    const all = [...sums, one.doneOn, plannedBy, ...money, one.early.length];
    return [...units, [...head, number, name, 'all units', ...all]];
  });
  return [columns, ...rows];
}
