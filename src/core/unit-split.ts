import { type Block, readinessNone } from './blocks.ts';
import { contractsWithParts } from './contracts.ts';
import type { IsoDate } from './dates.ts';
import {
  counted,
  type LandChange,
  type NextIds,
  noteWith,
  shapeProblem,
  sharedOut,
  unitCodeProblems,
} from './land-change.ts';
import type { LandContent } from './library.ts';
import { type Edge, edgesOf } from './line-edges.ts';
import type { Line } from './lines.ts';
import type { Outcome, Problem } from './problems.ts';
import type { NeighbourPair } from './properties.ts';
import type { Boundary, Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/** One part of a unit as it will be. The first part goes on as the unit that is split. */
export interface UnitPart {
  code: string;
  name: string;
  areaAcres: number;
  boundary: Boundary | null;
  measuredAcres: number | null;
  perimeterFeet: number | null;
}

export interface UnitSplit {
  unitId: number;
  parts: UnitPart[];
  /** True: all parts stay in one block. False: each further part gets a block of its own. */
  isTogether: boolean;
  /** The parts need not add up to the acres of the unit. */
  isAcresConfirmed: boolean;
}

export const partsLeast = 2;
export const partsMost = 6;

/** Acres by which parts may miss the whole without a question: a hundredth part, at least a tenth of an acre. */
export function acresSlack(areaAcres: number): number {
  return Math.max(0.1, areaAcres / 100);
}

function splitProblems(land: LandContent, unit: Unit, split: UnitSplit): Problem[] {
  const { parts } = split;
  if (parts.length < partsLeast || parts.length > partsMost)
    return [
      shapeProblem('split-parts', `Parts: a unit is split into ${partsLeast} to ${partsMost}.`),
    ];
  const problems = parts.flatMap(({ code }, at) =>
    unitCodeProblems(land, code, [unit], `code${at + 1}`),
  );
  parts.forEach(({ code, areaAcres }, at) => {
    if (parts.findIndex((other) => other.code === code) < at)
      problems.push(
        shapeProblem('split-code-twice', `Code: ${code} stands twice.`, `code${at + 1}`),
      );
    if (!(areaAcres > 0))
      problems.push(
        shapeProblem(
          'split-acres',
          `Acres of part ${at + 1}: write a number above zero.`,
          `acres${at + 1}`,
        ),
      );
    const isBlockCode = land.blocks.some(
      (block) => block.propertyId === unit.propertyId && block.code === code,
    );
    if (!split.isTogether && at > 0 && isBlockCode)
      problems.push(
        shapeProblem(
          'split-block-code',
          `Code: ${code} is the code of a block; the part gets a block of its own and needs another.`,
          `code${at + 1}`,
        ),
      );
  });
  const sum = parts.reduce((acres, part) => acres + part.areaAcres, 0);
  const isOff = Math.abs(sum - unit.areaAcres) > acresSlack(unit.areaAcres);
  if (isOff && !split.isAcresConfirmed)
    problems.push(
      shapeProblem(
        'split-sum',
        `Acres: the parts add up to ${Math.round(sum * 100) / 100}, the unit has ${unit.areaAcres}. Mend them, or tick that this is right.`,
        'isAcresConfirmed',
      ),
    );
  const isMixed = new Set(parts.map((part) => part.boundary === null)).size > 1;
  if (isMixed)
    problems.push(
      shapeProblem('split-boundary', 'Boundaries: give one for each part, or for none.', 'text'),
    );
  return problems;
}

/** Facts are kept for each part; acres, crew days and hours are shared out, so that the sums stay. */
function splitEntry(
  entry: WorkEntry,
  unit: Unit,
  parts: readonly Unit[],
  own: { today: IsoDate; firstId: number },
): WorkEntry[] {
  const weights = parts.map((part) => part.areaAcres);
  const shares = (amount: number | null) =>
    amount === null ? parts.map(() => null) : sharedOut(amount, weights);
  const acres = shares(entry.areaAcres);
  const crewDays = shares(entry.crewDays);
  const hours = shares(entry.personHours);
  const isShared = [entry.areaAcres, entry.crewDays, entry.personHours].some(Boolean);
  const how = isShared ? ', amounts shared out by acres' : '';
  const sentence = `From ${unit.code} (${unit.areaAcres} acres), split ${own.today}${how}.`;
  return parts.map((part, at) => ({
    ...entry,
    id: at === 0 ? entry.id : own.firstId + at - 1,
    unitId: part.id,
    taskKey: entry.taskKey && rekeyed(entry.taskKey, unit, part),
    areaAcres: acres[at]!,
    crewDays: crewDays[at]!,
    personHours: hours[at]!,
    note: noteWith(entry.note, sentence),
  }));
}

/** A fact of the unit's task, or of its block's, answers the same step of the part. */
function rekeyed(key: string, unit: Unit, part: Unit): string {
  const [place, ...rest] = key.split('/');
  if (place === `unit:${unit.id}`) return [`unit:${part.id}`, ...rest].join('/');
  if (place === `block:${unit.blockId}`) return [`block:${part.blockId}`, ...rest].join('/');
  return key;
}

/** Edges of the property's map with the parts in place of the unit; none without boundaries. */
function edgesAround(land: LandContent, unit: Unit, parts: readonly Unit[]): Edge[] {
  const places = [
    ...parts,
    ...land.units.filter((one) => one.propertyId === unit.propertyId && one.id !== unit.id),
  ].flatMap(({ id, boundary }) => (boundary ? [{ id, boundary }] : []));
  return parts.every((part) => part.boundary) ? edgesOf(places) : [];
}

/** The part's own stretch of a line: along the units on its other side, or its outer edge. */
function edgesAlong(edges: readonly Edge[], partId: number, otherIds: readonly number[]): Edge[] {
  return edges.filter(({ ids }) =>
    otherIds.length === 0
      ? ids.length === 1 && ids[0] === partId
      : ids.length === 2 && ids.includes(partId) && otherIds.some((id) => ids.includes(id)),
  );
}

/** A stretch under a hundredth of a line is a corner. */
const stretchShareLeast = 0.01;

function splitLine(
  line: Line,
  unit: Unit,
  parts: readonly Unit[],
  edges: readonly Edge[],
  own: { isTogether: boolean; firstId: number },
): Line[] {
  const others = line.unitIds.filter((id) => id !== unit.id);
  const along = parts.map((part) => edgesAlong(edges, part.id, others));
  let weights = along.map((own) => own.reduce((sum, { feet }) => sum + feet, 0));
  let total = weights.reduce((sum, feet) => sum + feet, 0);
  const isMapped = total > 0;
  if (!isMapped) {
    // Without a map nobody knows which part a line runs along.
    weights = parts.map(({ areaAcres }, at) => (own.isTogether && at > 0 ? 0 : areaAcres));
    total = weights.reduce((sum, acres) => sum + acres, 0);
  }
  const touching = parts
    .map((part, at) => ({ part, weight: weights[at]!, edges: along[at]! }))
    .filter(({ weight }) => weight / total >= stretchShareLeast);
  const feet = sharedOut(
    line.lengthFeet,
    touching.map(({ weight }) => weight),
  );
  return touching.map(({ part, edges: course }, at) => ({
    ...line,
    id: at === 0 ? line.id : own.firstId + at - 1,
    name: at === 0 ? line.name : `${line.name} (${part.code})`,
    lengthFeet: feet[at]!,
    unitIds: line.unitIds.map((id) => (id === unit.id ? part.id : id)),
    path:
      line.path && isMapped && touching.length > 1 ? course.flatMap(({ path }) => path) : line.path,
  }));
}

/** Lines of the parts; between parts in blocks of their own there is a new one, to be mown and not made yet. */
function splitLines(
  land: LandContent,
  unit: Unit,
  parts: readonly Unit[],
  edges: readonly Edge[],
  own: { isTogether: boolean; firstId: number },
): Line[] {
  let nextId = own.firstId;
  const lines = land.lines.flatMap((line) => {
    if (!line.unitIds.includes(unit.id)) return [line];
    const split = splitLine(line, unit, parts, edges, { ...own, firstId: nextId });
    nextId += split.length - 1;
    return split;
  });
  if (own.isTogether) return lines;
  const codeOf = new Map(parts.map((part) => [part.id, part.code]));
  for (const edge of edges) {
    const codes = edge.ids.flatMap((id) => codeOf.get(id) ?? []);
    if (codes.length !== 2) continue;
    lines.push({
      id: nextId,
      propertyId: unit.propertyId,
      name: codes.join(' to '),
      kind: 'mown',
      lengthFeet: Math.max(1, Math.round(edge.feet)),
      widthFeet: null,
      unitIds: edge.ids,
      readyOn: null,
      goodUntil: null,
      path: edge.path,
    });
    nextId += 1;
  }
  return lines;
}

function splitNeighbours(
  land: LandContent,
  unit: Unit,
  parts: readonly Unit[],
  edges: readonly Edge[],
  isTogether: boolean,
): NeighbourPair[] {
  const pairs = land.neighbours.filter(({ unitIds }) => !unitIds.includes(unit.id));
  const isPart = (id: number | undefined) => parts.some((part) => part.id === id);
  const add = (a: number, b: number, sharedFeet: number, rule: NeighbourPair['rule']) =>
    pairs.push({ unitIds: a < b ? [a, b] : [b, a], sharedFeet, rule });
  const old = land.neighbours.filter(({ unitIds }) => unitIds.includes(unit.id));
  const otherOf = ({ unitIds: [a, b] }: NeighbourPair) => (a === unit.id ? b : a);
  for (const { ids, feet } of edges) {
    const [a, b] = ids;
    if (a === undefined || b === undefined || !(isPart(a) || isPart(b))) continue;
    if (isPart(a) && isPart(b)) add(a, b, feet, isTogether ? 'together' : null);
    else {
      const other = isPart(a) ? b : a;
      add(a, b, feet, old.find((pair) => otherOf(pair) === other)?.rule ?? null);
    }
  }
  // What the map does not show as an edge was entered by hand: it holds for every part.
  const total = parts.reduce((sum, part) => sum + part.areaAcres, 0);
  for (const pair of old) {
    const other = otherOf(pair);
    if (edges.some(({ ids }) => ids.includes(other) && ids.some(isPart))) continue;
    for (const part of parts)
      add(part.id, other, (pair.sharedFeet * part.areaAcres) / total, pair.rule);
  }
  return pairs.toSorted((a, b) => a.unitIds[0] - b.unitIds[0] || a.unitIds[1] - b.unitIds[1]);
}

/** Rows that name the unit name every part: what protects or bars the whole holds for each part. */
function withParts<T extends { unitIds: number[] }>(rows: readonly T[], ids: number[]): T[] {
  return rows.map((row) =>
    row.unitIds.includes(ids[0]!) ? { ...row, unitIds: [...row.unitIds, ...ids.slice(1)] } : row,
  );
}

function blockOfPart(block: Block, part: UnitPart, id: number): Block {
  return { ...block, id, code: part.code, name: part.name, readiness: readinessNone };
}

function splitNotes(unit: Unit, parts: readonly Unit[], split: UnitSplit, lines: Line[][]) {
  const [first, ...others] = parts;
  const notes = [
    `${first!.code} goes on as ${unit.code} did: same tasks, same entries in the feeds, ${first!.areaAcres} acres.`,
    split.isTogether
      ? `All parts stay in one block: one sequence, one burn.`
      : `A block of its own, with the same sequence, interval and prescription, for ${others.map((part) => part.code).join(', ')}; nothing is planned or on file there yet, so make a new draft afterwards.`,
    'The history is copied to each part; acres, crew days and hours are shared out by acres. What was seen and measured, and photo points, stay with the first part.',
  ];
  const [before, after] = lines.map((list) => list.length) as [number, number];
  if (after > before)
    notes.push(`${counted(after - before, 'more line')}, by the edges of the parts.`);
  if (parts.some((part) => !part.boundary))
    notes.push(
      'There is no map of the parts: look over the lines and neighbors of each part afterwards.',
    );
  return notes;
}

/**
 * A unit in 2 to 6 parts. The first part keeps the row of the unit, so that its task keys and feed entries live on;
 * the others are new, in the same block or each in a block of its own. Facts are copied to every part with amounts
 * shared out by acres (a fire is taken to have gone over every part alike); lines are divided by the map, without one
 * they stay with the first part (same block) or are shared out by acres. SEMANTICS 2, 8, 17. Problems name the
 * field of the form: `code1`, `acres1`, ..., `isAcresConfirmed`, `text`.
 */
export function splitUnit(
  land: LandContent,
  split: UnitSplit,
  today: IsoDate,
  next: NextIds,
): Outcome<LandChange> {
  const unit = land.units.find((one) => one.id === split.unitId);
  const block = land.blocks.find((one) => one.id === unit?.blockId);
  if (!unit || !block)
    return {
      ok: false,
      problems: [shapeProblem('unit-unknown', 'This unit is not on record any more.')],
    };
  const problems = splitProblems(land, unit, split);
  if (problems.length > 0) return { ok: false, problems };
  const blocks = split.isTogether
    ? []
    : split.parts.slice(1).map((part, at) => blockOfPart(block, part, next.block + at));
  const parts = split.parts.map(
    (part, at): Unit => ({
      ...unit,
      ...part,
      id: at === 0 ? unit.id : next.unit + at - 1,
      blockId: at === 0 || split.isTogether ? block.id : next.block + at - 1,
    }),
  );
  const ids = parts.map((part) => part.id);
  const edges = edgesAround(land, unit, parts);
  const lines = splitLines(land, unit, parts, edges, {
    isTogether: split.isTogether,
    firstId: next.line,
  });
  let firstId = next.entry;
  const entries = land.entries.flatMap((entry) => {
    if (entry.unitId !== unit.id) return [entry];
    const copies = splitEntry(entry, unit, parts, { today, firstId });
    firstId += copies.length - 1;
    return copies;
  });
  const after: LandContent = {
    ...land,
    units: [...land.units.filter((one) => one.id !== unit.id), ...parts].toSorted(byId),
    blocks: [...land.blocks, ...blocks],
    lines: lines.toSorted(byId),
    neighbours: splitNeighbours(land, unit, parts, edges, split.isTogether),
    points: withParts(land.points, ids),
    leases: withParts(land.leases, ids),
    grazing: withParts(land.grazing, ids),
    consents: withParts(land.consents, ids),
    contracts: contractsWithParts(land.contracts, unit.id, parts, sharedOut),
    bookings: withParts(land.bookings, ids),
    entries: entries.toSorted(byId),
    approvals: land.approvals.flatMap((approval) =>
      approval.unitId === unit.id ? ids.map((unitId) => ({ ...approval, unitId })) : [approval],
    ),
  };
  const notes = splitNotes(unit, parts, split, [land.lines, after.lines]);
  return { ok: true, value: { land: after, notes } };
}

const byId = (a: { id: number }, b: { id: number }) => a.id - b.id;
