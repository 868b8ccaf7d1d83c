import type { Block } from './blocks.ts';
import { sequenceOf, unitsOf } from './chains.ts';
import { type IsoDate, monthDay } from './dates.ts';
import { type Line, needsWork } from './lines.ts';
import type { Operation } from './operation.ts';
import { burningSeasonStart } from './seasons.ts';
import type { Family } from './treatments.ts';

export type ReadinessKey = 'plan' | 'consent' | 'lines' | 'fuel' | 'notices' | 'people' | 'permit';

/** One thing a burn needs on file. `missing` names what is not there; empty when it is. */
export interface ReadinessItem {
  key: ReadinessKey;
  name: string;
  isOnFile: boolean;
  missing: string;
}

/** Outer lines of a block: those that serve one of its units and something outside it, or nothing else. */
export function outerLines(operation: Operation, block: Block): Line[] {
  const unitIds = new Set(unitsOf(operation, block).map((unit) => unit.id));
  return operation.lines.filter((line) => {
    const inside = line.unitIds.filter((id) => unitIds.has(id)).length;
    return inside > 0 && (inside < line.unitIds.length || inside === 1);
  });
}

/** Last day on which work of a family that the burn asks for (its line, its fuel check) was logged for the block. */
function loggedOn(
  operation: Operation,
  block: Block,
  family: Family,
  today: IsoDate,
): IsoDate | null {
  const steps = sequenceOf(operation, block)?.steps ?? [];
  const asked = new Set(
    steps.flatMap((step) =>
      step.lags.filter((lag) => lag.cycle === 'same').map((lag) => lag.afterStepKey),
    ),
  );
  const keys = new Set(
    steps.filter((step) => asked.has(step.key)).flatMap((step) => step.treatmentKeys),
  );
  const unitIds = new Set(unitsOf(operation, block).map((unit) => unit.id));
  const ofFamily = (key: string) =>
    operation.treatments.some((treatment) => treatment.key === key && treatment.family === family);
  const dates = operation.entries
    .filter((entry) => unitIds.has(entry.unitId) && entry.outcome === 'done')
    .filter((entry) => keys.has(entry.treatmentKey) && ofFamily(entry.treatmentKey))
    .map((entry) => entry.doneOn)
    .filter((date) => date <= today)
    .sort();
  return dates.at(-1) ?? null;
}

function isLineGood(line: Line, today: IsoDate): boolean {
  if (!needsWork(line.kind)) return line.goodUntil === null || line.goodUntil >= today;
  return (
    line.readyOn !== null &&
    line.readyOn <= today &&
    (line.goodUntil === null || line.goodUntil >= today)
  );
}

/** `madeOn`: day of this season on which the log says the lines were made; it holds for all that need work. */
function linesMissing(
  operation: Operation,
  block: Block,
  today: IsoDate,
  madeOn: IsoDate | null,
): string {
  const lines = outerLines(operation, block);
  if (lines.length === 0) return madeOn === null ? 'no outer line on file' : '';
  const isMadeAgain = (line: Line) =>
    madeOn !== null && needsWork(line.kind) && (line.goodUntil === null || madeOn > line.goodUntil);
  const open = lines
    .filter((line) => !isLineGood(line, today) && !isMadeAgain(line))
    .map((line) => line.name);
  return open.length > 0 ? `lines not made or no longer good (${open.join(', ')})` : '';
}

function planMissing(block: Block, today: IsoDate): string {
  const { planSignedBy, planExpiresOn } = block.readiness;
  if (planSignedBy === null) return 'no signed burn plan on file';
  return planExpiresOn !== null && planExpiresOn < today ? 'the signed burn plan has run out' : '';
}

/**
 * What a burn of the block needs on file, item by item, with what is missing in words. Everything on file is
 * still not leave to burn: that is the burn boss's call on the day. Notices, the fuel check, and a line or a
 * fuel check of the work log count when they were made in the burning season that holds `today`.
 */
export function readinessOf(operation: Operation, block: Block, today: IsoDate): ReadinessItem[] {
  const { readiness } = block;
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const seasonStart = burningSeasonStart(today, property?.burningSeasonStart ?? monthDay('07-01'));
  const isInSeason = (date: IsoDate | null) => date !== null && date >= seasonStart;
  const logged = (family: Family) => {
    const date = loggedOn(operation, block, family, today);
    return isInSeason(date) ? date : null;
  };
  const item = (key: ReadinessKey, name: string, missing: string): ReadinessItem => ({
    key,
    name,
    isOnFile: missing === '',
    missing,
  });
  const untilMissing = (until: IsoDate | null, what: string) => {
    if (until === null) return `no ${what} on file`;
    return until < today ? `the ${what} has run out` : '';
  };
  return [
    item('plan', 'Burn plan signed', planMissing(block, today)),
    item('consent', 'Consent', untilMissing(readiness.consentUntil, 'landowner consent')),
    item('lines', 'Lines', linesMissing(operation, block, today, logged('line'))),
    item(
      'fuel',
      'Slash and fuel',
      isInSeason(readiness.fuelCheckedOn) || logged('monitor') !== null
        ? ''
        : 'no fuel check this burning season',
    ),
    item(
      'notices',
      'Notices',
      isInSeason(readiness.noticesGivenOn) ? '' : 'no notices given this burning season',
    ),
    item('people', 'People', readiness.peopleNamed ? '' : 'burn roles not filled by named people'),
    item(
      'permit',
      'Permit',
      readiness.permitNotNeeded ? '' : untilMissing(readiness.permitUntil, 'permit'),
    ),
  ];
}
