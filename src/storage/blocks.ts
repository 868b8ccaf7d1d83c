import type { Database } from 'better-sqlite3';
import type { Block, BurnLimits, Readiness } from '../core/blocks.ts';
import { parseIsoDate } from '../core/dates.ts';
import type { Problem } from '../core/problems.ts';
import type { BurnRotation } from '../core/rotation.ts';

interface BlockRow extends Omit<Block, 'rotation' | 'readiness' | 'burnLimits'> {
  rotation: string | null;
  readiness: string;
  burnLimits: string;
}

/** People on a burn when nothing else is entered: practice judgement, a default to edit. */
export const burnPeopleLeastDefault = 6;

function checkRotation(rotation: BurnRotation): boolean {
  const { leastSeasons, targetYears, mostYears } = rotation;
  return leastSeasons >= 1 && targetYears >= leastSeasons && mostYears >= targetYears;
}

function isLateEverySound({ lateEvery }: BurnRotation): boolean {
  return lateEvery == null || (Number.isInteger(lateEvery) && lateEvery >= 1);
}

/** What is wrong with a block as entered, whatever the library; empty = it can be stored. */
export function checkBlock(block: Block): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `block-${field}`, field, ref: block.code, message });
  if (block.code.trim() === '') say('code', 'Code: give the block a short code, such as N4.');
  if (block.sequenceStartsOn !== null && !parseIsoDate(block.sequenceStartsOn))
    say('sequenceStartsOn', 'Sequence starts on: give a real day, such as 2026-07-01.');
  if (!(Number.isInteger(block.firstCycle) && block.firstCycle >= 1))
    say('firstCycle', 'First cycle: give a whole number from 1 up.');
  const { heldUntilYear: held } = block;
  if (held !== null && !(Number.isInteger(held) && held >= 1900 && held <= 2200))
    say('heldUntilYear', 'Fire held until: give a year, such as 2031, or leave it blank.');
  if (held !== null && block.heldReason.trim() === '')
    say('heldReason', 'Reason: say why fire is held, such as oak seedlings.');
  if (!(Number.isInteger(block.burnPeopleLeast) && block.burnPeopleLeast >= 0))
    say('burnPeopleLeast', 'Least people on the burn: give a whole number.');
  if (block.rotation && !checkRotation(block.rotation))
    say('rotation', 'Burn rotation: least, target and most must rise in this order, from 1 up.');
  if (block.rotation && !isLateEverySound(block.rotation))
    say(
      'rotation',
      'Late-season burn every so many burns: write a whole number from 1 up, or leave it blank.',
    );
  for (const [field, value] of Object.entries(block.readiness))
    if (/(On|Until)$/.test(field) && value !== null && !parseIsoDate(String(value)))
      say(`readiness.${field}`, `Readiness, ${field}: give a real day or leave it blank.`);
  return problems;
}

const blockColumns = `id, property_id AS propertyId, code, name, sequence_key AS sequenceKey,
  sequence_starts_on AS sequenceStartsOn, first_cycle AS firstCycle, rotation, held_until_year AS heldUntilYear,
  held_reason AS heldReason, prescription_key AS prescriptionKey, burn_people_least AS burnPeopleLeast, readiness,
  burn_limits AS burnLimits`;

function toBlock(row: BlockRow): Block {
  return {
    ...row,
    rotation: row.rotation === null ? null : (JSON.parse(row.rotation) as BurnRotation),
    readiness: JSON.parse(row.readiness) as Readiness,
    burnLimits: JSON.parse(row.burnLimits) as BurnLimits,
  };
}

function fromBlock(block: Block | Omit<Block, 'id'>) {
  return {
    id: null,
    ...block,
    rotation: block.rotation === null ? null : JSON.stringify(block.rotation),
    readiness: JSON.stringify(block.readiness),
    burnLimits: JSON.stringify(block.burnLimits),
  };
}

/** Blocks: one or more units lit together. */
export function blockRepository(db: Database) {
  const list = db.prepare<[], BlockRow>(`SELECT ${blockColumns} FROM block ORDER BY id`);
  const find = db.prepare<[number], BlockRow>(`SELECT ${blockColumns} FROM block WHERE id = ?`);
  const findByCode = db.prepare<[number, string], BlockRow>(
    `SELECT ${blockColumns} FROM block WHERE property_id = ? AND code = ?`,
  );
  const insert = db.prepare(
    `INSERT INTO block (id, property_id, code, name, sequence_key, sequence_starts_on, first_cycle, rotation,
       held_until_year, held_reason, prescription_key, burn_people_least, readiness, burn_limits)
     VALUES (@id, @propertyId, @code, @name, @sequenceKey, @sequenceStartsOn, @firstCycle, @rotation,
       @heldUntilYear, @heldReason, @prescriptionKey, @burnPeopleLeast, @readiness, @burnLimits)`,
  );
  const update = db.prepare(
    `UPDATE block SET code = @code, name = @name, sequence_key = @sequenceKey,
       sequence_starts_on = @sequenceStartsOn, first_cycle = @firstCycle, rotation = @rotation,
       held_until_year = @heldUntilYear, held_reason = @heldReason, prescription_key = @prescriptionKey,
       burn_people_least = @burnPeopleLeast, readiness = @readiness, burn_limits = @burnLimits
     WHERE id = @id`,
  );
  const one = (row: BlockRow | undefined): Block | null => (row ? toBlock(row) : null);
  return {
    list: (): Block[] => list.all().map(toBlock),
    find: (id: number): Block | null => one(find.get(id)),
    findByCode: (propertyId: number, code: string): Block | null =>
      one(findByCode.get(propertyId, code)),
    insert: (block: Block | Omit<Block, 'id'>): number =>
      Number(insert.run(fromBlock(block)).lastInsertRowid),
    update: (block: Block): void => {
      update.run(fromBlock(block));
    },
    clear: (): void => {
      db.exec('DELETE FROM block');
    },
  };
}
