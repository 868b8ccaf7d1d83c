import fc from 'fast-check';
import type { Block } from '../../../src/core/blocks.ts';
import type { Crew } from '../../../src/core/crews.ts';
import { addDays, type IsoDate, isoDate, monthDay } from '../../../src/core/dates.ts';
import type { Operation } from '../../../src/core/operation.ts';
import type { PlanContent } from '../../../src/core/plans.ts';
import { holidaysBetween } from '../../../src/core/recurrence.ts';
import { type LandProblem, landModel } from '../../../src/core/schedule/land-model.ts';
import { planContent } from '../../../src/core/schedule/plan.ts';
import { createSearch } from '../../../src/core/schedule/search.ts';
import { horizonFrom } from '../../../src/core/seasons.ts';
import type { Unit } from '../../../src/core/units.ts';
import type { WorkEntry } from '../../../src/core/worklog.ts';
import { loadLibrary } from '../../../src/reference/library.ts';
import { fakeEntry, fakeOperation } from '../../support/operation.ts';

/** Operations over the library that ships, small and invented, and the way from one to its plan. */
export const library = loadLibrary();

const allSkills = ['saw', 'fire', 'herbicide', 'tractor', 'machine'];

export function crew(id: number, kind: Crew['kind'], own: Partial<Crew> = {}): Crew {
  return {
    id,
    name: `Crew ${id}`,
    kind,
    peopleCount: 6,
    skills: allSkills,
    workdays: [1, 2, 3, 4, 5],
    daysOff: [],
    onSpans: null,
    costPerDayUsd: 0,
    spreadDaysPerWeek: 3,
    ...own,
  };
}

export interface BlockSketch {
  sequenceKey: string | null;
  acres: number[];
  block?: Partial<Block>;
  unit?: Partial<Unit>;
  lineFeet?: number;
}

/** An operation on one property with a block for each sketch; block 1 has units 11 and 12, block 2 has 21 and so on. */
export function operationOf(sketches: BlockSketch[], own: Partial<Operation> = {}): Operation {
  const base = fakeOperation();
  const units = sketches.flatMap(({ acres, unit }, at) =>
    acres.map((areaAcres, i): Unit => {
      const id = (at + 1) * 10 + i + 1;
      const code = `U${id}`;
      const plain = { ...(base.units[0] as Unit), tags: [], boundary: null };
      return { ...plain, ...unit, id, blockId: at + 1, code, name: code, areaAcres };
    }),
  );
  const blocks = sketches.map(
    ({ sequenceKey, block }, at): Block => ({
      ...(base.blocks[1] as Block),
      sequenceKey,
      sequenceStartsOn: null,
      ...block,
      id: at + 1,
      code: `B${at + 1}`,
      name: `Block ${at + 1}`,
    }),
  );
  const lines = sketches.map(({ lineFeet = 3000 }, at) => ({
    ...(base.lines[0] as Operation['lines'][number]),
    id: at + 1,
    lengthFeet: lineFeet,
    unitIds: units
      .filter((one) => one.blockId === at + 1)
      .map((one) => one.id)
      .slice(0, 1),
  }));
  const { communities, treatments, sequences, noWork, cautions, prescriptions } = library;
  const fitDays = prescriptions
    .filter((one) => one.use === 'work')
    .map((one) => ({
      prescriptionKey: one.key,
      fitDays: Array.from({ length: 24 }, () => 4),
      origin: 'entered' as const,
      label: 'entered by hand',
    }));
  return {
    ...base,
    ...{ communities, treatments, sequences, noWork, cautions, prescriptions, fitDays },
    properties: base.properties.slice(0, 1),
    units,
    blocks,
    lines,
    neighbours: [],
    crews: [crew(1, 'home')],
    gear: ['burn-trailer', 'tractor', 'sprayer'].map((key) => ({
      key,
      name: key,
      count: 1,
      daysOff: [],
    })),
    holidays: holidaysBetween(2026, 2032),
    entries: [],
    approvals: [],
    heldDates: [],
    ...own,
  };
}

export function modelOf(
  operation: Operation,
  today: IsoDate,
  inForce: PlanContent | null = null,
): LandProblem {
  const { seasonsAfter } = operation.settings;
  return landModel(operation, horizonFrom(today, monthDay('07-01'), seasonsAfter), inForce);
}

export function choiceOf(problem: LandProblem, iterations = 200, seed = 1): number[] {
  const search = createSearch(problem.model, seed);
  search.step(iterations, 0.5);
  return search.best().choice;
}

export function planOf(
  operation: Operation,
  today: IsoDate,
  inForce: PlanContent | null = null,
  iterations = 200,
): PlanContent {
  const problem = modelOf(operation, today, inForce);
  const run = { seed: 1, iterations, seconds: 0, version: 'test' };
  return planContent(operation, problem, choiceOf(problem, iterations), run);
}

const dayFrom = isoDate('2026-01-01');
const anyDate = (days: number) => fc.integer({ min: 0, max: days }).map((n) => addDays(dayFrom, n));

const anySketch: fc.Arbitrary<BlockSketch> = fc.record({
  sequenceKey: fc.constantFrom(...library.sequences.map((one) => one.key)),
  acres: fc.array(fc.integer({ min: 1, max: 120 }), { minLength: 1, maxLength: 2 }),
  lineFeet: fc.constantFrom(0, 1500, 9000, 60000),
  block: fc.record({
    firstCycle: fc.constantFrom(1, 2),
    sequenceStartsOn: fc.option(anyDate(900), { nil: null }),
    heldUntilYear: fc.option(fc.constantFrom(2027, 2028), { freq: 6, nil: null }),
    burnPeopleLeast: fc.integer({ min: 2, max: 9 }),
    prescriptionKey: fc.constantFrom(
      ...library.prescriptions.filter((one) => one.use === 'work').map((one) => one.key),
    ),
    rotation: fc.option(
      fc.constant({ phase: 'maintenance' as const, leastSeasons: 1, targetYears: 2, mostYears: 3 }),
      { freq: 3, nil: null },
    ),
  }),
  unit: fc.record({
    densityClass: fc.constantFrom('scattered', 'moderate', 'dense', 'thicket', null),
    communityKey: fc.constantFrom(...library.communities.map((one) => one.key)),
    tags: fc.constantFrom<string[][]>([], ['contract-land'], ['near-roost']),
  }),
});

interface Fact {
  unit: number;
  step: number;
  mode: number;
  daysAgo: number;
  outcome: WorkEntry['outcome'];
  areaAcres: number | null;
  shareBlackPercent: number | null;
}

const anyFact: fc.Arbitrary<Fact> = fc.record({
  unit: fc.nat(9),
  step: fc.nat(20),
  mode: fc.nat(1),
  daysAgo: fc.integer({ min: 1, max: 1400 }),
  outcome: fc.constantFrom('done', 'done', 'done', 'partly', 'not-possible', 'under-way'),
  areaAcres: fc.option(fc.integer({ min: 1, max: 60 })),
  shareBlackPercent: fc.constantFrom(null, 20, 80),
});

function entriesOf(operation: Operation, facts: Fact[], today: IsoDate): WorkEntry[] {
  return facts.flatMap((fact, at): WorkEntry[] => {
    const unit = operation.units[fact.unit % operation.units.length] as Unit;
    const block = operation.blocks.find((one) => one.id === unit.blockId);
    const steps = operation.sequences.find((one) => one.key === block?.sequenceKey)?.steps ?? [];
    const step = steps[fact.step % steps.length];
    const keys = step?.treatmentKeys ?? [];
    const treatment = operation.treatments.find((one) => one.key === keys[fact.mode % keys.length]);
    if (!treatment) return [];
    const isBurn = treatment.family === 'burn';
    const black = isBurn ? fact.shareBlackPercent : null;
    const { outcome, areaAcres } = fact;
    const own = { outcome, areaAcres, shareBlackPercent: black };
    return [fakeEntry(at + 1, unit.id, treatment.key, addDays(today, -fact.daysAgo), own)];
  });
}

const anyCrews: fc.Arbitrary<Crew[]> = fc
  .record({
    people: fc.integer({ min: 1, max: 8 }),
    off: fc.array(fc.integer({ min: 0, max: 900 }), { maxLength: 3 }),
    workdays: fc.constantFrom<number[][]>([1, 2, 3, 4, 5], [2, 3, 4], [6, 7]),
    spread: fc.integer({ min: 1, max: 5 }),
    skills: fc.subarray(allSkills, { minLength: 2 }),
    hasHelp: fc.boolean(),
    contractFrom: fc.option(fc.integer({ min: 0, max: 700 })),
  })
  .map(({ people, off, workdays, spread, skills, hasHelp, contractFrom }) => {
    const span = (from: number, days: number) => ({
      startsOn: addDays(dayFrom, from),
      endsBefore: addDays(dayFrom, from + days),
    });
    const daysOff = off.map((from) => span(from, 12));
    const crews = [
      crew(1, 'home', { peopleCount: people, daysOff, skills, spreadDaysPerWeek: spread }),
    ];
    if (hasHelp) crews.push(crew(2, 'help', { peopleCount: 3, skills: ['fire'], workdays }));
    if (contractFrom !== null) {
      const own = { peopleCount: 4, skills: ['saw'], costPerDayUsd: 1100, workdays };
      crews.push(crew(3, 'contract', { ...own, onSpans: [span(contractFrom, 60)] }));
    }
    return crews;
  });

export interface Drawn {
  operation: Operation;
  today: IsoDate;
  /** What was drawn, without the library, for the report of a failure. */
  [fc.toStringMethod]: () => string;
}

/** Small operations over all sequences of the library, with history, crews, days off, neighbours and held dates. */
export const anyOperation: fc.Arbitrary<Drawn> = fc
  .record({
    today: anyDate(1000),
    sketches: fc.array(anySketch, { minLength: 1, maxLength: 4 }),
    facts: fc.array(anyFact, { maxLength: 8 }),
    crews: anyCrews,
    apart: fc.boolean(),
    fitDays: fc.constantFrom(1, 4, 9),
    held: fc.array(
      fc.record({ job: fc.nat(40), option: fc.nat(40), shift: fc.constantFrom(0, 0, 3) }),
      {
        maxLength: 3,
      },
    ),
    trailerOff: fc.option(fc.integer({ min: 0, max: 900 })),
  })
  .map(({ today, sketches, facts, crews, apart, fitDays, held, trailerOff }) => {
    const operation = operationOf(sketches, { crews });
    operation.entries = entriesOf(operation, facts, today);
    operation.fitDays = operation.fitDays.map((table) => ({
      ...table,
      fitDays: table.fitDays.map(() => fitDays),
    }));
    const [a, b] = operation.units;
    if (apart && a && b)
      operation.neighbours = [{ unitIds: [a.id, b.id], sharedFeet: 900, rule: 'apart' }];
    const trailer = operation.gear[0];
    if (trailer && trailerOff !== null)
      trailer.daysOff = [
        { startsOn: addDays(dayFrom, trailerOff), endsBefore: addDays(dayFrom, trailerOff + 20) },
      ];
    const problem = modelOf(operation, today);
    const heldRows = held.flatMap(({ job, option, shift }) => {
      const at = job % Math.max(1, problem.jobs.length);
      const options = problem.options[at] ?? [];
      const first = options[option % Math.max(1, options.length)];
      const taskKey = problem.jobs[at]?.identity.key;
      if (!first || !taskKey) return [];
      const startsOn = addDays(isoDate('1970-01-01'), first.fromDay + shift);
      return [{ taskKey, startsOn }];
    });
    operation.heldDates = [...new Map(heldRows.map((one) => [one.taskKey, one])).values()];
    const { entries, heldDates, neighbours } = operation;
    const drawn = { today, sketches, entries, crews, heldDates, neighbours, fitDays, trailerOff };
    return { operation, today, [fc.toStringMethod]: () => JSON.stringify(drawn) };
  });
