import type { Block } from './blocks.ts';
import type { IsoDate } from './dates.ts';
import { entriesOfUnits, oncePerOperation, treatmentsByKey, unitsOfBlock } from './land-index.ts';
import type { Operation } from './operation.ts';
import type { Sequence, Step } from './sequences.ts';
import type { TaskIdentity } from './tasks.ts';
import type { Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/** One step of a block's unrolled sequence and where it stands. */
export interface ChainStep extends TaskIdentity {
  name: string;
  /** First = default treatment, others its modes. */
  treatmentKeys: string[];
  /** Acres of the step; for a partly done one what is left. */
  areaAcres: number;
  standing: 'done' | 'partly-done' | 'under-way' | 'not-possible' | 'skipped' | 'to-do';
  /** Last day of the fact that answered it. */
  doneOn: IsoDate | null;
  /** Part that a task for what is left of it carries: its own, or that of the rest. */
  openPart: string;
}

/** A step counts as done when no more than this is left of it: acres of parts are rounded. */
const acresLeftDone = 0.1;

/** True when a task key is of the step: of the whole, of a piece it was cut into, or of its rest. */
export function isTaskOfStep(key: string, step: { key: string; part: string }): boolean {
  const cut = key.lastIndexOf('/') + 1;
  if (key.slice(0, cut) !== step.key.slice(0, step.key.lastIndexOf('/') + 1)) return false;
  return step.part === '-' || key.slice(cut).startsWith(step.part);
}

/** Parts of a sequence in thirds run one year apart; `-` is the whole. */
export function partNames(partsCount: number): string[] {
  return partsCount > 1 ? Array.from('abcdefgh').slice(0, partsCount) : ['-'];
}

/** Units of a block, by code. */
export function unitsOf(operation: Operation, block: Block): Unit[] {
  return [...unitsOfBlock(operation.units, block.id)];
}

export function sequenceOf(operation: Operation, block: Block): Sequence | null {
  return operation.sequences.find((sequence) => sequence.key === block.sequenceKey) ?? null;
}

export function treatmentOf(operation: Operation, key: string): Treatment {
  const treatment = treatmentsByKey(operation.treatments).get(key);
  if (!treatment) throw new RangeError(`no treatment with the key ${key} in the library`);
  return treatment;
}

/** True when the step belongs to the cycle. */
export function stepIsIn(step: Step, cycle: number): boolean {
  return step.cycles === 'every' || (step.cycles === 'first') === (cycle === 1);
}

/** Key of a task: place, sequence, step, cycle, part; for life (feeds hang on it). */
export function taskKey(
  block: Block,
  unit: Unit | null,
  sequenceKey: string,
  stepKey: string,
  cycle: number,
  part: string,
): string {
  const place = unit ? `unit:${unit.id}` : `block:${block.id}`;
  return `${place}/${sequenceKey}/${stepKey}/${cycle}/${part}`;
}

function cycleSteps(
  operation: Operation,
  block: Block,
  sequence: Sequence,
  cycle: number,
): ChainStep[] {
  const units = unitsOf(operation, block);
  const parts = partNames(sequence.partsCount);
  const acresOfAll = units.reduce((sum, one) => sum + one.areaAcres, 0);
  return parts.flatMap((part) =>
    sequence.steps
      .filter((step) => stepIsIn(step, cycle))
      .flatMap((step) => {
        const treatment = treatmentOf(operation, step.treatmentKeys[0] ?? '');
        const places: (Unit | null)[] = treatment.scope === 'unit' ? units : [null];
        return places.map((unit): ChainStep => {
          const acres = unit ? unit.areaAcres : acresOfAll;
          return {
            key: taskKey(block, unit, sequence.key, step.key, cycle, part),
            propertyId: block.propertyId,
            blockId: block.id,
            unitId: unit ? unit.id : null,
            sequenceKey: sequence.key,
            stepKey: step.key,
            cycle,
            part,
            name: step.name,
            treatmentKeys: step.treatmentKeys,
            areaAcres: Math.round(((acres * step.shareOfAcres) / parts.length) * 100) / 100,
            standing: 'to-do',
            doneOn: null,
            openPart: part,
          };
        });
      }),
  );
}

/** A recorded fire answers a burn step only when enough of the unit went black. */
function answers(operation: Operation, entry: WorkEntry, step: ChainStep): boolean {
  if (step.unitId !== null && step.unitId !== entry.unitId) return false;
  if (entry.taskKey !== null) return isTaskOfStep(entry.taskKey, step);
  if (!step.treatmentKeys.includes(entry.treatmentKey)) return false;
  return (
    entry.shareBlackPercent === null ||
    entry.shareBlackPercent >= operation.settings.shareBlackPercentLeast
  );
}

function applyEntry(step: ChainStep, entry: WorkEntry): void {
  step.doneOn = entry.doneOn;
  // The rest of a step ends it, whatever acres are noted; a piece only takes its acres off.
  const part = entry.taskKey?.slice(entry.taskKey.lastIndexOf('/') + 1) ?? step.openPart;
  const isPiece = part !== step.part && part !== step.openPart;
  if (entry.outcome === 'under-way') step.standing = 'under-way';
  else if (entry.outcome === 'not-possible') step.standing = 'not-possible';
  else if (entry.outcome === 'done' && !isPiece) step.standing = 'done';
  else {
    const left = Math.round((step.areaAcres - (entry.areaAcres ?? 0)) * 100) / 100;
    step.standing = left > acresLeftDone ? 'partly-done' : 'done';
    if (step.standing === 'partly-done') {
      step.areaAcres = left;
      step.openPart = nextRest(step);
    }
  }
}

/** `rest`, `rest2`, ...: the rest of a partly done task is its next part, with a key of its own. */
function nextRest(step: ChainStep): string {
  const base = step.part === '-' ? 'rest' : `${step.part}-rest`;
  const count = Number(step.openPart.slice(base.length)) || 1;
  return step.openPart.startsWith(base) ? `${base}${count + 1}` : base;
}

const isOpen = (step: ChainStep) => step.standing !== 'done' && step.standing !== 'skipped';

/** Steps that a done step makes pointless: its forerunners in the same cycle, and all of earlier cycles. */
function skipBefore(chain: ChainStep[], done: ChainStep, sequence: Sequence): void {
  const forerunners = new Set<string>();
  const collect = (stepKey: string) => {
    for (const lag of sequence.steps.find((step) => step.key === stepKey)?.lags ?? [])
      if (lag.cycle === 'same' && !forerunners.has(lag.afterStepKey)) {
        forerunners.add(lag.afterStepKey);
        collect(lag.afterStepKey);
      }
  };
  collect(done.stepKey);
  // What goes before the burn on its day is past once the burn is.
  for (const step of sequence.steps)
    if (step.tiedTo === done.stepKey && step.tiedDays < 0) forerunners.add(step.key);
  for (const step of chain) {
    if (step === done || !isOpen(step) || step.part !== done.part) continue;
    const isSamePlace = step.unitId === null || done.unitId === null || step.unitId === done.unitId;
    const isBefore =
      step.cycle < done.cycle || (step.cycle === done.cycle && forerunners.has(step.stepKey));
    if (isSamePlace && isBefore && step.standing !== 'partly-done') step.standing = 'skipped';
  }
}

/**
 * The block's sequence unrolled: what was done, skipped and is still to do, in order, up to
 * `cyclesAhead` cycles after the last one that a fact belongs to. Entries before the block's
 * `sequenceStartsOn` answer no step. An entry without a task answers the earliest open step of its treatment.
 * Empty without a sequence.
 */
export function chainOf(operation: Operation, block: Block, cyclesAhead = 1): ChainStep[] {
  return [...chainsKept(operation, block)(cyclesAhead)];
}

const chainsKept = oncePerOperation((operation: Operation, block: Block) => {
  const kept = new Map<number, ChainStep[]>();
  return (cyclesAhead: number): ChainStep[] => {
    const chain = kept.get(cyclesAhead) ?? unrolled(operation, block, cyclesAhead);
    kept.set(cyclesAhead, chain);
    return chain;
  };
});

function unrolled(operation: Operation, block: Block, cyclesAhead: number): ChainStep[] {
  const sequence = sequenceOf(operation, block);
  if (!sequence || unitsOf(operation, block).length === 0) return [];
  const unitIds = unitsOf(operation, block).map((unit) => unit.id);
  const entries = entriesOfUnits(operation.entries, unitIds)
    .filter((entry) => !block.sequenceStartsOn || entry.doneOn >= block.sequenceStartsOn)
    .sort((a, b) => (a.doneOn === b.doneOn ? a.id - b.id : a.doneOn < b.doneOn ? -1 : 1));
  const isRepeating = sequence.repeat.kind !== 'none';
  const chain = cycleSteps(operation, block, sequence, block.firstCycle);
  let lastCycle = block.firstCycle;
  // Made ahead once: many entries are asked about it, few open it.
  let ahead: ChainStep[] | null = null;
  const nextCycle = () => {
    ahead ??= cycleSteps(operation, block, sequence, lastCycle + 1);
    return ahead;
  };
  const addCycle = () => {
    chain.push(...nextCycle());
    lastCycle += 1;
    ahead = null;
  };
  for (const entry of entries) {
    if (chain.some((one) => isTwin(one, entry))) continue;
    let step = chain.find((one) => isOpen(one) && answers(operation, entry, one));
    const again = chain.find((one) => isDoneAgain(operation, chain, sequence, entry, one));
    if (again && (!step || step.cycle > again.cycle)) {
      renew(again, entry);
      continue;
    }
    if (!step && isRepeating && entry.taskKey === null) {
      step = nextCycle().find((one) => answers(operation, entry, one));
      // Work outside the sequence, of which there may be much, starts no cycle.
      if (step) addCycle();
    }
    if (!step) continue;
    applyEntry(step, entry);
    if (step.standing === 'done') skipBefore(chain, step, sequence);
  }
  const lastAnswered = chain.reduce(
    (last, step) => (step.standing === 'to-do' ? last : Math.max(last, step.cycle)),
    block.firstCycle,
  );
  while (isRepeating && lastCycle < lastAnswered + cyclesAhead) addCycle();
  return chain;
}

/** A check or a line that was done before, is done again, and is still waited for by an open step of its cycle. */
function isDoneAgain(
  operation: Operation,
  chain: readonly ChainStep[],
  sequence: Sequence,
  entry: WorkEntry,
  step: ChainStep,
): boolean {
  if (step.standing !== 'done' || entry.outcome !== 'done') return false;
  // In thirds an entry that names no task is of the next third.
  if (entry.taskKey === null && sequence.partsCount > 1) return false;
  if (!answers(operation, entry, step)) return false;
  const isWaitedFor = ({ lags }: Step) =>
    lags.some((lag) => lag.link === 'both' && lag.afterStepKey === step.stepKey);
  const after = new Set(sequence.steps.filter(isWaitedFor).map(({ key }) => key));
  return chain.some(
    (one) =>
      isOpen(one) && after.has(one.stepKey) && one.cycle === step.cycle && one.part === step.part,
  );
}

function renew(step: ChainStep, entry: WorkEntry): void {
  step.doneOn = entry.doneOn;
  if (entry.taskKey !== null)
    step.openPart = entry.taskKey.slice(entry.taskKey.lastIndexOf('/') + 1);
}

/** A second entry for the same step on the same day (two units of one block burned together). */
function isTwin(step: ChainStep, entry: WorkEntry): boolean {
  return (
    step.unitId === null &&
    step.standing === 'done' &&
    step.doneOn === entry.doneOn &&
    step.treatmentKeys.includes(entry.treatmentKey)
  );
}

/** The first step that is still open, or null when nothing is left. */
export function nextStep(chain: readonly ChainStep[]): ChainStep | null {
  return chain.find((step) => isOpen(step)) ?? null;
}
