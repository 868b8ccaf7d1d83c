import type { Block } from '../../core/blocks.ts';
import { sequenceOf, unitsOf } from '../../core/chains.ts';
import { addYears, type IsoDate } from '../../core/dates.ts';
import { goNoGoGroups, goNoGoStops } from '../../core/go-no-go.ts';
import type { Operation } from '../../core/operation.ts';
import { burnDaysOf, burnSteps, stepsLacking } from '../../core/papers.ts';
import { type BurnRole, burnRoles, type Person } from '../../core/people.ts';
import { type PlanElement, planElementMissing } from '../../core/plan-elements.ts';
import { readinessOf } from '../../core/readiness.ts';
import { blockSheet, type SheetTask, sheetTasks } from '../../core/sheets.ts';
import { prescriptionKeyOf } from '../../core/tasks.ts';
import type { Treatment } from '../../core/treatments.ts';
import type { Deps } from '../deps.ts';
import type { FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { limitLines } from './burn-days.ts';
import { sourceWords } from './sequences.ts';
import { type Sheet, sheetOf } from './sheet.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

/** One of the 21 planning elements, as ticked on file. */
export interface ElementRow {
  number: number;
  key: string;
  name: string;
  question: string;
  isWritten: boolean;
  signedBy: string;
  signedOn: string;
  expiresOn: string;
  /** "not written", "not signed", "has run out"; blank = nothing is. */
  missing: string;
}

export interface NoticeRow {
  name: string;
  when: string;
  due: string;
  /** Who did it and when; blank = not done. */
  given: string;
  /** Its last day passed, or what was done does not count. */
  isLacking: boolean;
  problem: string;
}

export interface RoleRow {
  role: string;
  name: string;
  contact: string;
  qualifications: string;
  isLapsed: boolean;
}

export interface PacketPage {
  title: string;
  blockId: number;
  code: string;
  links: { path: string; words: string }[];
  sheet: Sheet;
  planNote: string;
  madeOn: string;
  /** Papers and people by name, with what is missing; never "ready". */
  readiness: { name: string; isOnFile: boolean; missing: string }[];
  elements: ElementRow[];
  elementsMissing: number;
  notices: NoticeRow[];
  noticesLacking: number;
  limits: { name: string; words: string }[];
  limitsSource: string;
  prescription: string;
  goNoGo: { name: string; questions: string[] }[];
  /** The newest list that somebody answered in the program; blank = none. */
  goNoGoLast: string;
  briefing: string[];
  patrol: string[];
  roles: RoleRow[];
  peopleLeast: number;
}

const roleWords: Readonly<Record<BurnRole, string>> = {
  boss: 'burn boss',
  lighter: 'lighter',
  holder: 'holder',
  water: 'water',
  lookout: 'lookout',
  'on-call': 'on call',
};

function blockAt(deps: Deps, blockId: number): { operation: Operation; block: Block } {
  const operation = deps.operation();
  const block = operation.blocks.find(({ id }) => id === blockId);
  if (!block || unitsOf(operation, block).length === 0)
    throw new PageError(404, 'There is no block at this address.');
  return { operation, block };
}

const isoOrBlank = (date: IsoDate | null) => date ?? '';

function elementOf(operation: Operation, block: Block, key: string): PlanElement | undefined {
  return operation.planElements.findLast((row) => row.blockId === block.id && row.key === key);
}

function elementRows(operation: Operation, block: Block, today: IsoDate): ElementRow[] {
  return operation.sheetTables.planElements.map(({ key, name, question }, index) => {
    const element = elementOf(operation, block, key);
    return {
      number: index + 1,
      key,
      name,
      question,
      isWritten: element?.isWritten ?? false,
      signedBy: element?.signedBy ?? '',
      signedOn: isoOrBlank(element?.signedOn ?? null),
      expiresOn: isoOrBlank(element?.expiresOn ?? null),
      missing: planElementMissing(element, today),
    };
  });
}

function noticeRows(deps: Deps, operation: Operation, block: Block, today: IsoDate): NoticeRow[] {
  const steps = burnSteps(operation, block, today, deps.plans.inForce()?.content ?? null);
  const lacking = new Set(stepsLacking(steps, today));
  return steps.map((step) => {
    const { done } = step;
    const when = done?.on ? `${words.date(done.on)}${done.at === null ? '' : `, ${done.at}`}` : '';
    const given = done
      ? [step.state === 'not-needed' ? 'not needed' : '', when, done.by, done.toWhom, done.note]
      : [];
    const isConditional = step.onlyIf === '' ? '' : ` (${step.onlyIf})`;
    return {
      name: `${step.name}${step.askWhom === '' ? '' : `: ${step.askWhom}`}${isConditional}`,
      when: step.leadWords,
      due: step.dueBy === null ? '' : `by ${words.date(step.dueBy)}`,
      given: given.filter((part) => part !== '').join(', '),
      isLacking: lacking.has(step),
      problem: step.problem,
    };
  });
}

function roleRows(operation: Operation, block: Block, today: IsoDate): RoleRow[] {
  const rows = block.readiness.roles.flatMap(({ role, personId }) => {
    const person = operation.people.find(({ id }) => id === personId);
    return person ? [{ role, person }] : [];
  });
  return rows
    .sort((a, b) => burnRoles.indexOf(a.role) - burnRoles.indexOf(b.role))
    .map(({ role, person }) => ({
      role: roleWords[role],
      name: person.name,
      contact: person.contact,
      ...qualificationWords(person, today),
    }));
}

function qualificationWords({ qualifications }: Person, today: IsoDate) {
  const isOver = (expiresOn: IsoDate | null) => expiresOn !== null && expiresOn < today;
  const said = qualifications.map(({ name, expiresOn }) =>
    expiresOn === null
      ? name
      : `${name}, ${isOver(expiresOn) ? 'ran out' : 'until'} ${words.date(expiresOn)}`,
  );
  return {
    qualifications: said.join('; '),
    isLapsed: qualifications.length > 0 && qualifications.every((one) => isOver(one.expiresOn)),
  };
}

/** Limits of the block itself beside those of its prescription. */
function limitsOf(operation: Operation, block: Block, task: SheetTask) {
  const key = task.planned ? prescriptionKeyOf(operation, task.planned) : block.prescriptionKey;
  const prescription = operation.prescriptions.find((one) => one.key === key) ?? null;
  const { windFrom, gustMphMost, canopyPercent } = block.burnLimits;
  const own = [
    { name: 'Wind from, this block', words: windFrom === null ? 'any side' : words.list(windFrom) },
    {
      name: 'Gusts, this block',
      words: gustMphMost === null ? 'no limit of its own' : `at most ${gustMphMost} miles an hour`,
    },
    ...(canopyPercent === null ? [] : [{ name: 'Canopy', words: `${canopyPercent} %` }]),
  ];
  return {
    prescription: prescription?.name ?? '',
    limits: [...(prescription ? limitLines(prescription) : []), ...own],
    limitsSource: prescription ? sourceWords(prescription) : '',
  };
}

/** The burn of the block that is in hand; without one in the plan, its units with the burn of its sequence. */
function taskOf(deps: Deps, operation: Operation, block: Block, today: IsoDate): SheetTask | null {
  const plan = deps.plans.inForce()?.content ?? null;
  const burns = sheetTasks(operation, plan, today).filter(
    ({ blockId, family, standing, lastDay }) =>
      blockId === block.id &&
      family === 'burn' &&
      standing !== 'done' &&
      standing !== 'cancelled' &&
      (standing !== 'planned' || lastDay === null || lastDay >= today),
  );
  const isSoon = ({ startsOn }: SheetTask) => startsOn === null || startsOn < addYears(today, 2);
  return burns.find(isSoon) ?? blockSheet(operation, block.id, burnOf(operation, block));
}

function burnOf(operation: Operation, block: Block): Treatment | null {
  const keys = sequenceOf(operation, block)?.steps.flatMap((step) => step.treatmentKeys) ?? [];
  return (
    keys
      .flatMap((key) => operation.treatments.find((one) => one.key === key) ?? [])
      .find(({ family }) => family === 'burn') ?? null
  );
}

function goNoGoLast(deps: Deps, block: Block): string {
  const [list] = deps.burns.goNoGoLists().filter(({ blockId }) => blockId === block.id);
  if (!list) return '';
  const stops = goNoGoStops(list.answers).length;
  const said = stops === 0 ? 'every answer was yes' : `${words.count(stops, 'answer')} stopped it`;
  return `Last answered for ${words.date(list.day)} by ${list.answeredBy}: ${said}. A new day is answered anew.`;
}

/** The burn packet of a block: its sheet, papers, limits and lists. Throws 404 for a block that is not there. */
export function packetPage(deps: Deps, blockId: number): PacketPage {
  const { operation, block } = blockAt(deps, blockId);
  const property = operation.properties.find(({ id }) => id === block.propertyId);
  const today = todayAt(deps, property);
  const task = taskOf(deps, operation, block, today);
  const { planNote } = shellOf(deps, 'plan', '');
  const sheet = task && sheetOf(operation, task, today, planNote);
  if (!task || !sheet) throw new PageError(404, 'There is no block at this address.');
  const elements = elementRows(operation, block, today);
  const notices = noticeRows(deps, operation, block, today);
  const listed = (list: 'briefing' | 'patrol') =>
    operation.sheetTables.burnLists.filter((row) => row.list === list).map(({ text }) => text);
  const { call } = burnDaysOf(operation, block, today, deps.plans.inForce()?.content ?? null);
  const [unit] = unitsOf(operation, block);
  return {
    title: `Burn packet of ${block.code} ${block.name}`,
    blockId: block.id,
    code: block.code,
    links: [
      { path: `/units/${unit?.id ?? ''}`, words: `Unit ${unit?.code ?? ''}` },
      { path: `/packets/${block.id}/elements`, words: 'Tick planning elements' },
      { path: `/burns/${block.id}`, words: 'Steps, call and watch' },
      { path: `/burn-check?block=${block.id}`, words: 'Burn check' },
      { path: '/sheets', words: "The week's sheets" },
    ],
    sheet: call
      ? { ...sheet, standing: `called for ${words.date(call.day)} by ${call.by}` }
      : sheet,
    planNote: sheet.planNote,
    madeOn: sheet.madeOn,
    readiness: readinessOf(operation, block, today).map(({ name, isOnFile, missing }) => ({
      name,
      isOnFile,
      missing,
    })),
    elements,
    elementsMissing: elements.filter(({ missing }) => missing !== '').length,
    notices,
    noticesLacking: notices.filter(({ isLacking }) => isLacking).length,
    ...limitsOf(operation, block, task),
    goNoGo: goNoGoGroups.map(({ name, questions }) => ({
      name,
      questions: questions.map(({ text }) => text),
    })),
    goNoGoLast: goNoGoLast(deps, block),
    briefing: listed('briefing'),
    patrol: listed('patrol'),
    roles: roleRows(operation, block, today),
    peopleLeast: block.burnPeopleLeast,
  };
}

export interface ElementsPage {
  shell: Shell;
  blockId: number;
  name: string;
  rows: { number: number; key: string; name: string; question: string; missing: string }[];
  form: FormState;
}

/** Fields of one element in the form, and what stands in them. */
export function elementValues(operation: Operation, block: Block): Record<string, string> {
  return Object.fromEntries(
    operation.sheetTables.planElements.flatMap(({ key }) => {
      const element = elementOf(operation, block, key);
      return [
        [`isWritten-${key}`, element?.isWritten ? 'yes' : ''],
        [`signedBy-${key}`, element?.signedBy ?? ''],
        [`signedOn-${key}`, isoOrBlank(element?.signedOn ?? null)],
        [`expiresOn-${key}`, isoOrBlank(element?.expiresOn ?? null)],
      ];
    }),
  );
}

/** The form on which the planning elements of a block are ticked. Throws 404 for a block that is not there. */
export function elementsPage(
  deps: Deps,
  blockId: number,
  asked: { form?: FormState } = {},
): ElementsPage {
  const { operation, block } = blockAt(deps, blockId);
  const property = operation.properties.find(({ id }) => id === block.propertyId);
  const values = elementValues(operation, block);
  return {
    shell: shellOf(deps, 'units', `Which parts of the burn plan of ${block.code} are written?`),
    blockId: block.id,
    name: `${block.code} ${block.name}`,
    rows: elementRows(operation, block, todayAt(deps, property)),
    form: asked.form ? { ...asked.form, stored: values } : { values, problems: [] },
  };
}
