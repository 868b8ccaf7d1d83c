import type { Block } from '../blocks.ts';
import { chainOn } from '../chain-renewal.ts';
import { type ChainStep, sequenceOf, treatmentOf, unitsOf } from '../chains.ts';
import { type DateRange, daysBetween, type IsoDate } from '../dates.ts';
import { type LagRule, lagRule } from '../lags.ts';
import { entriesOfUnits } from '../land-index.ts';
import { needsWork } from '../lines.ts';
import type { Operation } from '../operation.ts';
import type { Property } from '../properties.ts';
import { outerLines } from '../readiness-items.ts';
import { fireStatus, lastFireThatCounts, rotationOf } from '../rotation.ts';
import type { Lag, Sequence, Step } from '../sequences.ts';
import type { TaskIdentity } from '../tasks.ts';
import type { Treatment } from '../treatments.ts';
import type { Unit } from '../units.ts';

/** A step still to do that the plan has to place: one task, or one with the tasks tied to its day. */
export interface LandJob {
  identity: TaskIdentity;
  name: string;
  step: Step;
  block: Block;
  property: Property;
  sequence: Sequence;
  units: Unit[];
  /** First = default, others the modes. */
  treatments: Treatment[];
  areaAcres: number;
  lineFeet: number;
  /** Feet of the whole outer line when no line is on record; null where it is. */
  guessedLineFeet: number | null;
  links: JobLink[];
  /** Jobs on the day of this one: second line pass, patrol. */
  tied: LandJob[];
  /** Number of the tree (block and part) it is planned with. */
  group: number;
  isOverdueForFire: boolean;
  /** Pieces that its step is cut into, 1 = whole. */
  piecesCount: number;
  /** In thirds: days on which other parts of the step were done; one part has its turn in a season. */
  otherPartsDoneOn: IsoDate[];
}

/** What a job waits for: another job, or a fact. */
export interface JobLink {
  rule: LagRule;
  isBoth: boolean;
  forerunner: { job: LandJob } | { endedOn: IsoDate; name: string };
}

/** A follow-up of a burn day is of no use when it was not done within this many days. */
const tiedUsefulDays = 14;

/** A real outline is longer than the square of its acres; how much longer is our own judgement. */
const outlineOverSquare = 1.2;
const squareFeetPerAcre = 43_560;

/**
 * Feet of outer line guessed for a block without any outer line on record: the edge of a square of its acres,
 * a fifth longer, to full hundreds. Null where outer lines are on record, of whatever kind.
 */
export function guessedLineFeet(operation: Operation, block: Block): number | null {
  if (outerLines(operation, block).length > 0) return null;
  const acres = unitsOf(operation, block).reduce((sum, unit) => sum + unit.areaAcres, 0);
  const edgeFeet = 4 * Math.sqrt(acres * squareFeetPerAcre);
  return Math.round((edgeFeet * outlineOverSquare) / 100) * 100;
}

/**
 * Feet of line that a block has to make: its outer lines less roads and creeks; guessed from its acres when no
 * outer line is on record.
 */
export function lineFeetOf(operation: Operation, block: Block): number {
  const guess = guessedLineFeet(operation, block);
  if (guess !== null) return guess;
  return outerLines(operation, block)
    .filter((line) => needsWork(line.kind, operation.lineKinds))
    .reduce((sum, line) => sum + line.lengthFeet, 0);
}

function cyclesAhead(sequence: Sequence, operation: Operation, block: Block): number {
  const seasons = operation.settings.seasonsAfter + 1;
  if (sequence.repeat.kind === 'none') return 0;
  const years =
    sequence.repeat.kind === 'rotation'
      ? (rotationOf(operation, block)?.targetYears ?? sequence.repeat.years)
      : sequence.repeat.years;
  return Math.ceil(seasons / Math.max(1, years));
}

const isOpen = (step: ChainStep) => step.standing !== 'done' && step.standing !== 'skipped';

/** Newest fire that counts over the units of a block. */
function lastBlockFire(operation: Operation, block: Block, today: IsoDate): IsoDate | null {
  let last: IsoDate | null = null;
  for (const unit of unitsOf(operation, block)) {
    const fire = lastFireThatCounts(operation, unit, today);
    if (fire && (!last || fire.doneOn > last)) last = fire.doneOn;
  }
  return last;
}

interface BlockContext {
  operation: Operation;
  block: Block;
  property: Property;
  sequence: Sequence;
  chain: ChainStep[];
  jobs: Map<string, LandJob>;
  today: IsoDate;
}

function jobOf(context: BlockContext, chainStep: ChainStep, group: number): LandJob {
  const { operation, block, property, sequence } = context;
  const units = unitsOf(operation, block);
  const unit = units.find((one) => one.id === chainStep.unitId);
  const part = chainStep.openPart;
  return {
    identity: {
      key: chainStep.key.slice(0, chainStep.key.lastIndexOf('/') + 1) + part,
      propertyId: chainStep.propertyId,
      blockId: chainStep.blockId,
      unitId: chainStep.unitId,
      sequenceKey: chainStep.sequenceKey,
      stepKey: chainStep.stepKey,
      cycle: chainStep.cycle,
      part,
    },
    name: chainStep.name,
    step: sequence.steps.find((step) => step.key === chainStep.stepKey) as Step,
    block,
    property,
    sequence,
    units: unit ? [unit] : units,
    treatments: chainStep.treatmentKeys.map((key) => treatmentOf(operation, key)),
    areaAcres: chainStep.areaAcres,
    lineFeet: lineFeetOf(operation, block),
    guessedLineFeet: guessedLineFeet(operation, block),
    links: [],
    tied: [],
    group,
    isOverdueForFire: false,
    piecesCount: 1,
    otherPartsDoneOn: context.chain
      .filter((one) => one.stepKey === chainStep.stepKey && one.unitId === chainStep.unitId)
      .filter(
        (one) => one.part !== chainStep.part && ['done', 'partly-done'].includes(one.standing),
      )
      .flatMap((one) => one.doneOn ?? []),
  };
}

/** The steps a lag counts from: those of the same part that share a unit or are of the whole block. */
function forerunnersOf(context: BlockContext, of: ChainStep, lag: Lag): ChainStep[] {
  const cycle = lag.cycle === 'same' ? of.cycle : of.cycle - 1;
  return context.chain.filter(
    (step) =>
      step.stepKey === lag.afterStepKey &&
      step.cycle === cycle &&
      step.part === of.part &&
      (step.unitId === null || of.unitId === null || step.unitId === of.unitId),
  );
}

/** Fact that stands for the cycle before the first one: the last fire, or the last entry of the treatment. */
function factBeforeFirstCycle(
  context: BlockContext,
  of: ChainStep,
  lag: Lag,
): { endedOn: IsoDate; name: string } | null {
  const { operation, block, sequence, today } = context;
  if (lag.kind === 'rotation') {
    // In thirds a fire since the start belongs to one part and says nothing of the others.
    const asOf = sequence.partsCount > 1 ? (block.sequenceStartsOn ?? today) : today;
    const last = lastBlockFire(operation, block, asOf);
    return last ? { endedOn: last, name: 'the last fire' } : null;
  }
  const before = sequence.steps.find((step) => step.key === lag.afterStepKey);
  if (!before || sequence.partsCount > 1) return null;
  const unitIds = unitsOf(operation, block).map((unit) => unit.id);
  const dates = entriesOfUnits(operation.entries, unitIds)
    .filter((entry) => entry.outcome === 'done')
    .filter((entry) => of.unitId === null || entry.unitId === of.unitId)
    .filter((entry) => before.treatmentKeys.includes(entry.treatmentKey))
    .map((entry) => entry.doneOn)
    .sort();
  const last = dates.at(-1);
  return last ? { endedOn: last, name: before.name } : null;
}

/** A step that nothing in its sequence dates: it waits for no other step, and no other step asks for it. */
function startsCycle(sequence: Sequence, step: Step): boolean {
  const isAskedFor = sequence.steps.some((other) =>
    other.lags.some((lag) => lag.afterStepKey === step.key && lag.link === 'both'),
  );
  return step.lags.length === 0 && !isAskedFor;
}

/** Such a step repeats with the cycle: due a repeat after its last time, at the least two months short of it. */
function repeatLag(context: BlockContext, step: Step): Lag {
  const { repeat } = context.sequence;
  const rotation = rotationOf(context.operation, context.block);
  const years = repeat.kind === 'rotation' && rotation ? rotation.targetYears : repeat.years;
  return {
    afterStepKey: step.key,
    cycle: 'previous',
    kind: 'fixed',
    least: { days: Math.round(years * 365) - 60 },
    target: { years },
    most: null,
    mostIsHard: false,
    link: 'needs',
  };
}

function linksOf(context: BlockContext, of: ChainStep, step: Step): JobLink[] {
  const rotation = rotationOf(context.operation, context.block);
  const lags =
    of.cycle > 1 && startsCycle(context.sequence, step) ? [repeatLag(context, step)] : step.lags;
  return lags.flatMap((lag): JobLink[] => {
    const rule = lagRule(lag, rotation);
    const isBoth = lag.link === 'both';
    const steps = forerunnersOf(context, of, lag);
    if (steps.length === 0 && lag.cycle === 'previous') {
      const fact = factBeforeFirstCycle(context, of, lag);
      return fact ? [{ rule, isBoth: false, forerunner: fact }] : [];
    }
    return steps.flatMap((forerunner): JobLink[] => {
      if (isOpen(forerunner) && forerunner.standing !== 'under-way') {
        const job = carrierOf(context, forerunner);
        return job ? [{ rule, isBoth, forerunner: { job } }] : [];
      }
      if (!forerunner.doneOn) return [];
      const fact = { endedOn: forerunner.doneOn, name: forerunner.name };
      return [{ rule, isBoth: false, forerunner: fact }];
    });
  });
}

/** The job that stands for a step in the model: itself, or the burn it is tied to. */
function carrierOf(context: BlockContext, step: ChainStep): LandJob | null {
  const own = context.jobs.get(step.key);
  if (own) return own;
  const tiedTo = context.sequence.steps.find((one) => one.key === step.stepKey)?.tiedTo;
  const carrier = context.chain.find(
    (one) => one.stepKey === tiedTo && one.cycle === step.cycle && one.part === step.part,
  );
  return (carrier && context.jobs.get(carrier.key)) ?? null;
}

/** The step that takes turns in a sequence in parts: one part of it in a burning season. */
export function takesTurns(job: LandJob): boolean {
  return job.sequence.partsCount > 1 && job.step.key === job.sequence.repeat.stepKey;
}

/** A tied step becomes part of its burn's day, or a job of its own when the burn is a fact of the last days. */
function placeTied(context: BlockContext, chainStep: ChainStep, job: LandJob): boolean {
  const { step } = job;
  const burn = context.chain.find(
    (one) =>
      one.stepKey === step.tiedTo &&
      one.cycle === chainStep.cycle &&
      one.part === chainStep.part &&
      (one.unitId === null || chainStep.unitId === null || one.unitId === chainStep.unitId),
  );
  const burnJob = burn && context.jobs.get(burn.key);
  if (burnJob) {
    burnJob.tied.push(job);
    return false;
  }
  if (!burn?.doneOn || step.tiedDays < 0) return false;
  if (daysBetween(burn.doneOn, context.today) > tiedUsefulDays) return false;
  const rule: LagRule = {
    least: { days: step.tiedDays },
    target: { days: step.tiedDays + 2 },
    most: { days: tiedUsefulDays + step.tiedDays },
    mostIsHard: false,
  };
  job.links = [{ rule, isBoth: false, forerunner: { endedOn: burn.doneOn, name: burn.name } }];
  return true;
}

function blockJobs(context: BlockContext, firstGroup: number): LandJob[] {
  const { chain, sequence, jobs } = context;
  const parts = [...new Set(chain.map((step) => step.part))];
  const open = chain.filter((step) => isOpen(step) && step.standing !== 'under-way');
  const tied: { chainStep: ChainStep; job: LandJob }[] = [];
  for (const chainStep of open) {
    const job = jobOf(context, chainStep, firstGroup + parts.indexOf(chainStep.part));
    if (job.treatments[0]?.rate.basis === 'line-foot' && job.lineFeet === 0) continue;
    if (job.step.tiedTo) tied.push({ chainStep, job });
    else jobs.set(chainStep.key, job);
  }
  for (const chainStep of open) {
    const job = jobs.get(chainStep.key);
    const step = sequence.steps.find((one) => one.key === chainStep.stepKey);
    if (job && step) job.links = linksOf(context, chainStep, step);
  }
  const alone = tied
    .filter(({ chainStep, job }) => placeTied(context, chainStep, job))
    .map(({ job }) => job);
  return [...jobs.values(), ...alone];
}

/**
 * Every task that the plan has to place in the horizon or name as left out, with what it waits for.
 * Tasks of one block and part share a group and form a tree.
 */
export function landJobs(
  operation: Operation,
  horizon: DateRange,
): { jobs: LandJob[]; groupCount: number } {
  const today = horizon.startsOn;
  const all: LandJob[] = [];
  let groupCount = 0;
  for (const block of operation.blocks) {
    const sequence = sequenceOf(operation, block);
    const property = operation.properties.find((one) => one.id === block.propertyId);
    if (!sequence || !property) continue;
    const chain = chainOn(operation, block, today, cyclesAhead(sequence, operation, block));
    if (chain.length === 0) continue;
    const context = { operation, block, property, sequence, chain, jobs: new Map(), today };
    const jobs = blockJobs(context, groupCount);
    const isOverdue = unitsOf(operation, block).some((unit) =>
      ['overdue', 'no-fire-on-record'].includes(fireStatus(operation, unit, today).kind),
    );
    for (const job of jobs) {
      job.isOverdueForFire = isOverdue && job.treatments[0]?.family === 'burn';
      all.push(job);
    }
    groupCount += sequence.partsCount;
  }
  return { jobs: all, groupCount };
}
