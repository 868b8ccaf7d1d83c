import type { Block, Readiness } from './blocks.ts';
import { burnPeopleMissing } from './burn-people.ts';
import { sequenceOf, unitsOf } from './chains.ts';
import { burnConsentMissing } from './consents.ts';
import { dateWords, type IsoDate, monthDay } from './dates.ts';
import { entriesOfUnits } from './land-index.ts';
import { linesAround } from './line-work.ts';
import { type Line, lineGoodUntil, needsWork } from './lines.ts';
import type { Operation } from './operation.ts';
import type { Noun } from './records.ts';
import { burningSeasonStart } from './seasons.ts';
import type { Family } from './treatments.ts';
import type { WorkEntry } from './worklog.ts';

export const readinessKeys = [
  'plan',
  'consent',
  'lines',
  'fuel',
  'notices',
  'people',
  'permit',
] as const;
export type ReadinessKey = (typeof readinessKeys)[number];

/** One thing a burn needs on file. `missing` names what is not there; empty when it is. */
export interface ReadinessItem {
  key: ReadinessKey;
  name: string;
  isOnFile: boolean;
  missing: string;
  /** Rows and fields that mend it, with a name each; the page knows their addresses. */
  mends: Mend[];
}

/** A field of a row that puts something on file. */
export interface Mend {
  noun: Noun;
  id: number;
  field: string;
  name: string;
}

/** Outer lines of a block: those that serve one of its units and something outside it, or nothing else. */
export function outerLines(operation: Operation, block: Block): Line[] {
  return linesAround(
    operation.lines,
    unitsOf(operation, block).map((unit) => unit.id),
  );
}

/** Entries of a family that the burn asks for (its line, its fuel check) on the block, oldest first. */
function entriesOf(
  operation: Operation,
  block: Block,
  family: Family,
  today: IsoDate,
): WorkEntry[] {
  const steps = sequenceOf(operation, block)?.steps ?? [];
  const asked = new Set(
    steps.flatMap((step) =>
      step.lags.filter((lag) => lag.cycle === 'same').map((lag) => lag.afterStepKey),
    ),
  );
  const keys = new Set(
    steps.filter((step) => asked.has(step.key)).flatMap((step) => step.treatmentKeys),
  );
  const unitIds = unitsOf(operation, block).map((unit) => unit.id);
  const ofFamily = (key: string) =>
    operation.treatments.some((treatment) => treatment.key === key && treatment.family === family);
  return entriesOfUnits(operation.entries, unitIds)
    .filter((entry) => keys.has(entry.treatmentKey) && ofFamily(entry.treatmentKey))
    .filter(({ doneOn }) => doneOn <= today)
    .sort((a, b) => (a.doneOn < b.doneOn ? -1 : 1));
}

/** Last day on which such work was logged as done. */
function loggedOn(
  operation: Operation,
  block: Block,
  family: Family,
  today: IsoDate,
): IsoDate | null {
  const done = entriesOf(operation, block, family, today).filter(
    ({ outcome }) => outcome === 'done',
  );
  return done.at(-1)?.doneOn ?? null;
}

/**
 * What is missing of the fuel check, in words. A check that was tried and not passed (it would not carry, the slash
 * is green) counts against one that was passed before it.
 */
function fuelMissing(
  operation: Operation,
  block: Block,
  today: IsoDate,
  isInSeason: (date: IsoDate | null) => boolean,
): string {
  const { fuelCheckedOn } = block.readiness;
  const newest = entriesOf(operation, block, 'monitor', today)
    .filter(({ outcome }) => outcome === 'done' || outcome === 'not-possible')
    .at(-1);
  const isFailed = newest?.outcome === 'not-possible' && isInSeason(newest.doneOn);
  if (isFailed && (fuelCheckedOn === null || fuelCheckedOn < newest.doneOn)) {
    const reason = newest.reason.trim();
    return `the check of ${dateWords(newest.doneOn)} was not passed${reason === '' ? '' : ` (${reason})`}`;
  }
  if (isInSeason(fuelCheckedOn)) return '';
  return newest?.outcome === 'done' && isInSeason(newest.doneOn)
    ? ''
    : 'no fuel check this burning season';
}

/** Last good day of a line made on `readyOn`: as entered, else by its kind. Null = it stays good. */
function goodUntilOf(
  operation: Operation,
  line: Pick<Line, 'kind' | 'readyOn' | 'goodUntil' | 'propertyId'>,
): IsoDate | null {
  const property = operation.properties.find((one) => one.id === line.propertyId);
  return property ? lineGoodUntil(line, operation.lineKinds, property.anchors) : line.goodUntil;
}

function isLineGood(operation: Operation, line: Line, today: IsoDate): boolean {
  const goodUntil = goodUntilOf(operation, line);
  if (goodUntil !== null && goodUntil < today) return false;
  return (
    !needsWork(line.kind, operation.lineKinds) || (line.readyOn !== null && line.readyOn <= today)
  );
}

/** `madeOn`: day of this season on which the log says the lines were made; it holds for all that need work. */
function openLines(
  operation: Operation,
  block: Block,
  today: IsoDate,
  madeOn: IsoDate | null,
): Line[] {
  const isMadeAgain = (line: Line) => {
    if (madeOn === null || !needsWork(line.kind, operation.lineKinds)) return false;
    if (line.goodUntil !== null && madeOn <= line.goodUntil) return false;
    const until = goodUntilOf(operation, { ...line, readyOn: madeOn, goodUntil: null });
    return until === null || until >= today;
  };
  return outerLines(operation, block).filter(
    (line) => !isLineGood(operation, line, today) && !isMadeAgain(line),
  );
}

function linesItem(
  operation: Operation,
  block: Block,
  today: IsoDate,
  madeOn: IsoDate | null,
): ReadinessItem {
  const open = openLines(operation, block, today, madeOn);
  const isNone = madeOn === null && outerLines(operation, block).length === 0;
  const names = open.map((line) => line.name).join(', ');
  const missing = isNone
    ? 'no outer line on file'
    : names && `lines not made or no longer good (${names})`;
  const mends = open.map(({ id, name }): Mend => ({ noun: 'line', id, field: 'readyOn', name }));
  return { key: 'lines', name: 'Lines', isOnFile: missing === '', missing, mends };
}

function planMissing(block: Block, today: IsoDate): string {
  const { planSignedBy, planExpiresOn } = block.readiness;
  if (planSignedBy === null) return 'no signed burn plan on file';
  return planExpiresOn !== null && planExpiresOn < today ? 'the signed burn plan has run out' : '';
}

function permitMissing({ readiness }: Block, today: IsoDate): string {
  const { permitUntil, permitNotNeeded } = readiness;
  if (permitNotNeeded) return '';
  if (permitUntil === null) return 'no permit on file';
  return permitUntil < today ? 'the permit has run out' : '';
}

/**
 * What a burn of the block needs on file, item by item, with what is missing in words. Everything on file is
 * still not leave to burn: that is the burn boss's call on the day. Notices, the fuel check, and a line or a
 * fuel check of the work log count when they were made in the burning season that holds `today`.
 */
export function itemsOnFile(operation: Operation, block: Block, today: IsoDate): ReadinessItem[] {
  const { readiness } = block;
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const seasonStart = burningSeasonStart(today, property?.burningSeasonStart ?? monthDay('07-01'));
  const isInSeason = (date: IsoDate | null) => date !== null && date >= seasonStart;
  const logged = (family: Family) => {
    const date = loggedOn(operation, block, family, today);
    return isInSeason(date) ? date : null;
  };
  const item = (
    key: ReadinessKey,
    name: string,
    missing: string,
    field: keyof Readiness,
  ): ReadinessItem => {
    const mend: Mend = { noun: 'block', id: block.id, field, name: missing };
    return { key, name, isOnFile: missing === '', missing, mends: missing === '' ? [] : [mend] };
  };
  return [
    item(
      'plan',
      'Burn plan signed',
      planMissing(block, today),
      readiness.planSignedBy === null ? 'planSignedBy' : 'planExpiresOn',
    ),
    item(
      'consent',
      'Consent',
      burnConsentMissing(
        operation.consents,
        unitsOf(operation, block),
        readiness.consentUntil,
        today,
      ),
      'consentUntil',
    ),
    linesItem(operation, block, today, logged('line')),
    item(
      'fuel',
      'Slash and fuel',
      fuelMissing(operation, block, today, isInSeason),
      'fuelCheckedOn',
    ),
    item(
      'notices',
      'Notices',
      isInSeason(readiness.noticesGivenOn) ? '' : 'no notices given this burning season',
      'noticesGivenOn',
    ),
    item(
      'people',
      'People',
      burnPeopleMissing(operation, block, today),
      readiness.roles.length > 0 ? 'roles' : 'peopleNamed',
    ),
    item('permit', 'Permit', permitMissing(block, today), 'permitUntil'),
  ];
}
