import type { Block } from '../blocks.ts';
import type { IsoDate } from '../dates.ts';
import type { Operation } from '../operation.ts';
import type { PlanContent } from '../plans.ts';
import type { Sequence } from '../sequences.ts';
import type { WorkEntry } from '../worklog.ts';

/** A step of one cycle, part and place, and what the work log says of it. */
export interface Slot {
  key: string;
  stepKey: string;
  cycle: number;
  part: string;
  unitId: number | null;
  /** Acres to do; what is left of a partly done one. */
  areaAcres: number;
  state: 'open' | 'partly' | 'answered' | 'skipped';
  doneOn: IsoDate | null;
}

/** True for fire on the unit, whoever lit it; blacklines, piles and single trees are other work. */
function isFire(operation: Operation, entry: WorkEntry): boolean {
  const kind = operation.treatments.find((one) => one.key === entry.treatmentKey);
  return kind?.family === 'burn' || entry.fireCause === 'wild' || entry.fireCause === 'neighbour';
}

/** True when a fire blackened enough of the unit to count; a share that was not noted counts as whole. */
export function fireCounts(operation: Operation, entry: WorkEntry): boolean {
  if (!isFire(operation, entry) || !['done', 'partly'].includes(entry.outcome)) return false;
  const black = entry.shareBlackPercent;
  return black === null || black >= operation.settings.shareBlackPercentLeast;
}

/** Steps of one cycle in order; the parts of a sequence in thirds follow each other. */
function cycleSlots(operation: Operation, block: Block, sequence: Sequence, cycle: number): Slot[] {
  const units = operation.units
    .filter((unit) => unit.blockId === block.id)
    .sort((a, b) => (a.code < b.code ? -1 : 1));
  const isFirst = cycle === 1;
  const parts =
    sequence.partsCount > 1 ? Array.from('abcdefgh').slice(0, sequence.partsCount) : ['-'];
  const slots: Slot[] = [];
  for (const part of parts)
    for (const step of sequence.steps) {
      if (step.cycles === (isFirst ? 'later' : 'first')) continue;
      const scope = operation.treatments.find((one) => one.key === step.treatmentKeys[0])?.scope;
      for (const unit of scope === 'unit' ? units : [null]) {
        const acres = (unit ? [unit] : units).reduce((sum, one) => sum + one.areaAcres, 0);
        const place = unit ? `unit:${unit.id}` : `block:${block.id}`;
        slots.push({
          key: `${place}/${sequence.key}/${step.key}/${cycle}/${part}`,
          stepKey: step.key,
          cycle,
          part,
          unitId: unit?.id ?? null,
          areaAcres: (acres * step.shareOfAcres) / parts.length,
          state: 'open',
          doneOn: null,
        });
      }
    }
  return slots;
}

const isFree = (slot: Slot) => slot.state === 'open' || slot.state === 'partly';

function slotFor(
  operation: Operation,
  slots: readonly Slot[],
  sequence: Sequence,
  entry: WorkEntry,
): Slot | undefined {
  if (entry.taskKey !== null) {
    // A piece of a slot (`.../b`, `.../rest`) answers the slot it was split from.
    const stem = (key: string) => key.slice(0, key.lastIndexOf('/'));
    const third = entry.taskKey.charAt(entry.taskKey.lastIndexOf('/') + 1);
    const own = slots.filter((slot) => stem(slot.key) === stem(entry.taskKey ?? ''));
    return own.find((slot) => slot.part === '-' || slot.part === third);
  }
  const black = entry.shareBlackPercent;
  if (black !== null && black < operation.settings.shareBlackPercentLeast) return undefined;
  return slots.find(
    (slot) =>
      isFree(slot) &&
      (slot.unitId === null || slot.unitId === entry.unitId) &&
      sequence.steps.some(
        (step) => step.key === slot.stepKey && step.treatmentKeys.includes(entry.treatmentKey),
      ),
  );
}

/** Enters a fact: under way counts as answered, since no more of it is planned. */
function enter(slot: Slot, entry: WorkEntry): void {
  if (entry.outcome === 'not-possible') return;
  slot.doneOn = entry.doneOn;
  // The rest of a slot ends it; a lettered piece only takes its acres off.
  const isPiece =
    entry.taskKey !== null && entry.taskKey !== slot.key && !/rest\d*$/.test(entry.taskKey);
  if (entry.outcome === 'under-way' || (entry.outcome === 'done' && !isPiece)) {
    slot.state = 'answered';
    return;
  }
  slot.areaAcres = Math.max(0, slot.areaAcres - (entry.areaAcres ?? 0));
  slot.state = slot.areaAcres < 0.05 ? 'answered' : 'partly';
}

/** What an answered step makes pointless: the steps it builds on in its cycle, and all earlier cycles. */
function skipOlder(slots: readonly Slot[], done: Slot, sequence: Sequence): void {
  const olderSteps = new Set<string>();
  const queue = [done.stepKey];
  for (let key = queue.pop(); key !== undefined; key = queue.pop())
    for (const lag of sequence.steps.find((step) => step.key === key)?.lags ?? [])
      if (lag.cycle === 'same' && !olderSteps.has(lag.afterStepKey)) {
        olderSteps.add(lag.afterStepKey);
        queue.push(lag.afterStepKey);
      }
  for (const slot of slots) {
    const isSamePlace = slot.unitId === null || done.unitId === null || slot.unitId === done.unitId;
    const isOlder =
      slot.cycle < done.cycle || (slot.cycle === done.cycle && olderSteps.has(slot.stepKey));
    if (slot !== done && slot.state === 'open' && slot.part === done.part && isSamePlace && isOlder)
      slot.state = 'skipped';
  }
}

function lastCycleNamed(plan: PlanContent, block: Block): number {
  return [...plan.tasks, ...plan.leftOut, ...plan.later].reduce(
    (last, task) => (task.blockId === block.id ? Math.max(last, task.cycle) : last),
    block.firstCycle,
  );
}

/**
 * Every step of a block's cycles, one past the last that the plan names, with the facts laid over them: an entry
 * answers the task it names, else the earliest open step that its treatment can do, on or after the day
 * the sequence starts.
 */
export function slotsOf(
  operation: Operation,
  plan: PlanContent,
  block: Block,
  sequence: Sequence,
): Slot[] {
  const slots: Slot[] = [];
  let cycle = block.firstCycle - 1;
  const grow = () => {
    cycle += 1;
    slots.push(...cycleSlots(operation, block, sequence, cycle));
  };
  grow();
  const unitIds = new Set(
    operation.units.filter((unit) => unit.blockId === block.id).map((unit) => unit.id),
  );
  const entries = operation.entries
    .filter((entry) => unitIds.has(entry.unitId))
    .filter((entry) => block.sequenceStartsOn === null || entry.doneOn >= block.sequenceStartsOn)
    .sort((a, b) => (a.doneOn < b.doneOn ? -1 : a.doneOn > b.doneOn ? 1 : a.id - b.id));
  for (const entry of entries) {
    if (slots.some((slot) => isSameBurnDay(slot, entry, sequence))) continue;
    const again = slots.find((slot) => isAgain(slots, slot, entry, sequence));
    if (again && !isWantedBefore(operation, slots, again, entry, sequence)) {
      again.doneOn = entry.doneOn;
      continue;
    }
    if (!slotFor(operation, slots, sequence, entry) && sequence.repeat.kind !== 'none') grow();
    const slot = slotFor(operation, slots, sequence, entry);
    if (!slot) continue;
    enter(slot, entry);
    if (slot.state === 'answered' && entry.outcome !== 'under-way')
      skipOlder(slots, slot, sequence);
  }
  while (cycle <= lastCycleNamed(plan, block) && sequence.repeat.kind !== 'none') grow();
  return slots;
}

/** Work that was done and is done once more while what goes with it (a line or a check with its burn) is still open. */
function isAgain(
  slots: readonly Slot[],
  slot: Slot,
  entry: WorkEntry,
  sequence: Sequence,
): boolean {
  if (slot.state !== 'answered' || slot.doneOn === null || entry.outcome !== 'done') return false;
  if (slot.unitId !== null && slot.unitId !== entry.unitId) return false;
  const stem = (key: string) => key.slice(0, key.lastIndexOf('/'));
  const own = sequence.steps.find((step) => step.key === slot.stepKey);
  const isNamed = entry.taskKey !== null;
  if (isNamed && stem(entry.taskKey ?? '') !== stem(slot.key)) return false;
  if (!isNamed && (sequence.partsCount > 1 || !own?.treatmentKeys.includes(entry.treatmentKey)))
    return false;
  return slots.some(
    (other) =>
      isFree(other) &&
      other.cycle === slot.cycle &&
      other.part === slot.part &&
      sequence.steps.some(
        (step) =>
          step.key === other.stepKey &&
          step.lags.some((lag) => lag.link === 'both' && lag.afterStepKey === slot.stepKey),
      ),
  );
}

/** An open slot of the same cycle or an earlier one takes the entry first. */
function isWantedBefore(
  operation: Operation,
  slots: readonly Slot[],
  again: Slot,
  entry: WorkEntry,
  sequence: Sequence,
): boolean {
  const slot = slotFor(operation, slots, sequence, entry);
  return slot !== undefined && isFree(slot) && slot.cycle <= again.cycle;
}

/** The other units of a block that was done as one that day. */
function isSameBurnDay(slot: Slot, entry: WorkEntry, sequence: Sequence): boolean {
  if (slot.unitId !== null || slot.state !== 'answered' || slot.doneOn !== entry.doneOn)
    return false;
  return sequence.steps.some(
    (step) => step.key === slot.stepKey && step.treatmentKeys.includes(entry.treatmentKey),
  );
}
