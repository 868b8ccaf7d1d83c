import { contractsWithMerged } from './contracts.ts';
import type { IsoDate } from './dates.ts';
import {
  counted,
  hundredths,
  type LandChange,
  noteWith,
  shapeProblem,
  unitCodeProblems,
} from './land-change.ts';
import type { LandContent } from './library.ts';
import { edgesOf } from './line-edges.ts';
import type { Line } from './lines.ts';
import type { Approval } from './no-work.ts';
import type { Outcome, Problem } from './problems.ts';
import type { NeighbourPair, NeighbourRule } from './properties.ts';
import type { Treatment } from './treatments.ts';
import type { Boundary, Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

export interface UnitMerge {
  /** The unit that keeps its row, its tasks and its block; the others go out of use. */
  keepId: number;
  otherIds: number[];
  code: string;
  name: string;
}

/** Outline of the merged unit, as measured; null where one of the units has none. */
export interface MergedShape {
  boundary: Boundary;
  measuredAcres: number;
  perimeterFeet: number;
}

export const mergeMost = 6;

function touches(land: LandContent, a: number, b: number): boolean {
  return land.neighbours.some(({ unitIds }) => unitIds.includes(a) && unitIds.includes(b));
}

/** Units that no chain of neighbors joins to the first one. */
function apartFrom(land: LandContent, units: readonly Unit[]): Unit[] {
  const edges = edgesOf(units.flatMap(({ id, boundary }) => (boundary ? [{ id, boundary }] : [])));
  const isNext = (a: Unit, b: Unit) =>
    touches(land, a.id, b.id) || edges.some(({ ids }) => ids.includes(a.id) && ids.includes(b.id));
  const reached = new Set(units.slice(0, 1));
  for (const one of reached) for (const other of units) if (isNext(one, other)) reached.add(other);
  return units.filter((unit) => !reached.has(unit));
}

function mergeProblems(land: LandContent, units: readonly Unit[], merge: UnitMerge): Problem[] {
  if (units.length < 2 || units.length > mergeMost)
    return [shapeProblem('merge-units', `Units: pick 2 to ${mergeMost}.`, 'unitId')];
  const [first] = units;
  const elsewhere = units.find((unit) => unit.propertyId !== first!.propertyId);
  if (elsewhere)
    return [
      shapeProblem(
        'merge-property',
        `Units: ${elsewhere.code} is on another property; merge units of one property.`,
        'unitId',
      ),
    ];
  const apart = apartFrom(land, units);
  if (apart.length > 0)
    return [
      shapeProblem(
        'merge-apart',
        `Units: ${apart.map((unit) => unit.code).join(', ')} does not touch the others; pick neighbors.`,
        'unitId',
      ),
    ];
  return unitCodeProblems(land, merge.code, units, 'code');
}

/** What of an entry's unit went black, in acres; a share that was not noted counts as whole. */
function blackAcres(entry: WorkEntry, unit: Unit): number {
  return (unit.areaAcres * (entry.shareBlackPercent ?? 100)) / 100;
}

/** Share of the merged unit, in tenths of a percent, never rounded up: rounding must not make a fire count. */
function shareBlack(rows: readonly WorkEntry[], units: readonly Unit[]): number | null {
  const own = rows.map((row) => row.shareBlackPercent);
  const isWhole = units.every((unit) => rows.some((row) => row.unitId === unit.id));
  if (isWhole && new Set(own).size === 1) return own[0]!;
  const total = units.reduce((sum, unit) => sum + unit.areaAcres, 0);
  const black = units.reduce((sum, unit) => {
    const acres = rows.filter((row) => row.unitId === unit.id).map((row) => blackAcres(row, unit));
    return sum + Math.max(0, ...acres);
  }, 0);
  return Math.floor((black / total) * 1000 + 1e-6) / 10;
}

function sumKnown(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : hundredths(known.reduce((sum, value) => sum + value, 0));
}

interface MergeContext {
  units: Unit[];
  keep: Unit;
  today: IsoDate;
  treatments: readonly Treatment[];
  shareLeast: number;
}

function isFire(entry: WorkEntry, { treatments }: MergeContext): boolean {
  const isBurn = treatments.some((row) => row.key === entry.treatmentKey && row.family === 'burn');
  return isBurn || entry.fireCause === 'wild' || entry.fireCause === 'neighbour';
}

/** Keys of tasks that go out of use answer nothing any more; the step is found by its treatment. */
function keyAfter(rows: readonly WorkEntry[], { keep, units }: MergeContext): string | null {
  const isGone = (key: string) =>
    units.some(
      (unit) =>
        unit.id !== keep.id &&
        (key.startsWith(`unit:${unit.id}/`) ||
          (unit.blockId !== keep.blockId && key.startsWith(`block:${unit.blockId}/`))),
    );
  return rows.map((row) => row.taskKey).find((key) => key !== null && !isGone(key)) ?? null;
}

function joinedNote(rows: readonly WorkEntry[], { units, today }: MergeContext): string {
  const from = rows.map((row) => {
    const unit = units.find((one) => one.id === row.unitId)!;
    const share = row.shareBlackPercent === null ? '' : `, ${row.shareBlackPercent} % black`;
    return `${unit.code} (${unit.areaAcres} acres${share})`;
  });
  const notes = [...new Set(rows.map((row) => row.note.trim()).filter((note) => note !== ''))];
  return noteWith(notes.join(' '), `From ${from.join(', ')}, merged ${today}.`);
}

/** Facts of the same work on the same day become one of the merged unit; work on a part is partly done on it. */
function joinRows(rows: readonly WorkEntry[], context: MergeContext): WorkEntry {
  const { keep, units, shareLeast } = context;
  const row = rows.find((one) => one.unitId === keep.id) ?? rows[0]!;
  const isWhole = units.every((unit) => rows.some((one) => one.unitId === unit.id));
  const isFullyDone = rows.every((one) => one.outcome === 'done');
  const fire = isFire(row, context);
  const share = fire ? shareBlack(rows, units) : row.shareBlackPercent;
  const didCount = rows.some((one) => (one.shareBlackPercent ?? 100) >= shareLeast);
  // A fire over enough of the merged unit is a whole fire of it, as for any unit.
  const counts = fire && ((share ?? 100) >= shareLeast || !didCount);
  const isDone = isFullyDone && (isWhole || counts);
  const signedOut = rows.map((one) => one.signedOutOn);
  const acresOf = (one: WorkEntry) =>
    one.areaAcres ?? (isWhole ? null : units.find((unit) => unit.id === one.unitId)!.areaAcres);
  return {
    ...row,
    unitId: keep.id,
    taskKey: keyAfter(rows, context),
    startedOn: rows.flatMap((one) => one.startedOn ?? []).sort()[0] ?? null,
    outcome: isDone ? 'done' : 'partly',
    reason: [...new Set(rows.map((one) => one.reason.trim()))].filter(Boolean).join('; '),
    areaAcres: sumKnown(rows.map(acresOf)),
    crewDays: sumKnown(rows.map((one) => one.crewDays)),
    personHours: sumKnown(rows.map((one) => one.personHours)),
    shareBlackPercent: share,
    signedOutOn: signedOut.includes(null) ? null : (signedOut.sort().at(-1) ?? null),
    note: joinedNote(rows, context),
  };
}

function mergeEntries(entries: readonly WorkEntry[], context: MergeContext): WorkEntry[] {
  const { units, keep } = context;
  const groups = new Map<string, WorkEntry[]>();
  const out: WorkEntry[] = [];
  for (const entry of entries) {
    if (!units.some((unit) => unit.id === entry.unitId)) out.push(entry);
    else if (entry.outcome === 'done' || entry.outcome === 'partly') {
      const { treatmentKey, doneOn, precision, fireCause } = entry;
      const key = [treatmentKey, doneOn, precision, fireCause].join(' ');
      groups.set(key, [...(groups.get(key) ?? []), entry]);
    } else
      out.push({
        ...entry,
        unitId: keep.id,
        taskKey: keyAfter([entry], context),
        note: joinedNote([entry], context),
      });
  }
  for (const rows of groups.values()) out.push(joinRows(rows, context));
  return out.toSorted((a, b) => a.id - b.id);
}

function mergeLines(lines: readonly Line[], ids: readonly number[], keepId: number): Line[] {
  return lines.flatMap((line) => {
    if (!line.unitIds.some((id) => ids.includes(id))) return [line];
    // An inside line: nothing of the merged unit is kept from burning by it.
    if (line.unitIds.length > 1 && line.unitIds.every((id) => ids.includes(id))) return [];
    const unitIds = [...new Set(line.unitIds.map((id) => (ids.includes(id) ? keepId : id)))];
    return [{ ...line, unitIds }];
  });
}

/** The strictest rule of the pairs that become one. */
const ruleOrder: (NeighbourRule | null)[] = ['apart', 'together', 'no-matter', null];

function mergeNeighbours(
  pairs: readonly NeighbourPair[],
  ids: readonly number[],
  keepId: number,
): NeighbourPair[] {
  const byPair = new Map<string, NeighbourPair>();
  for (const pair of pairs) {
    const [a, b] = pair.unitIds.map((id) => (ids.includes(id) ? keepId : id)) as [number, number];
    if (a === b) continue;
    const unitIds: [number, number] = a < b ? [a, b] : [b, a];
    const held = byPair.get(unitIds.join(' '));
    const rules = [held?.rule ?? null, pair.rule];
    byPair.set(unitIds.join(' '), {
      unitIds,
      sharedFeet: pair.sharedFeet + (held?.sharedFeet ?? 0),
      rule: ruleOrder.find((rule) => rules.includes(rule)) ?? null,
    });
  }
  return [...byPair.values()].toSorted(
    (a, b) => a.unitIds[0] - b.unitIds[0] || a.unitIds[1] - b.unitIds[1],
  );
}

/** What bars, protects or books a part holds for the merged unit. */
function withMerged<T extends { unitIds: number[] }>(
  rows: readonly T[],
  ids: readonly number[],
  keepId: number,
): T[] {
  return rows.map((row) => ({
    ...row,
    unitIds: [...new Set(row.unitIds.map((id) => (ids.includes(id) ? keepId : id)))],
  }));
}

/** A yes for a part is no yes for the whole: it goes over only when it named every part. */
function mergeConsents<T extends { unitIds: number[] }>(
  rows: readonly T[],
  ids: readonly number[],
  keepId: number,
): T[] {
  return rows.flatMap((row): T[] => {
    const isTouched = row.unitIds.some((id) => ids.includes(id));
    if (!isTouched) return [row];
    const rest = row.unitIds.filter((id) => !ids.includes(id));
    if (ids.every((id) => row.unitIds.includes(id)))
      return [{ ...row, unitIds: [keepId, ...rest] }];
    return rest.length > 0 ? [{ ...row, unitIds: rest }] : [];
  });
}

/** An approval goes over for the days on which every part had it. */
function mergeApprovals(
  rows: readonly Approval[],
  ids: readonly number[],
  keepId: number,
): Approval[] {
  const rest = rows.filter((row) => !ids.includes(row.unitId));
  const own = rows.filter((row) => row.unitId === keepId);
  const both = own.flatMap((row): Approval[] => {
    let { from, until } = row;
    for (const id of ids) {
      const other = rows.find(
        (one) =>
          one.unitId === id &&
          one.noWorkKey === row.noWorkKey &&
          one.from <= until &&
          from <= one.until,
      );
      if (!other) return [];
      from = other.from > from ? other.from : from;
      until = other.until < until ? other.until : until;
    }
    return [{ ...row, from, until }];
  });
  return [...rest, ...both];
}

function mergeNotes(land: LandContent, after: LandContent, units: readonly Unit[], keep: Unit) {
  const others = units.filter((unit) => unit.id !== keep.id).map((unit) => unit.code);
  const gone = (rows: readonly { id: number }[], left: readonly { id: number }[]) =>
    rows.filter((row) => !left.some((one) => one.id === row.id)).length;
  const notes = [
    `${keep.code} keeps its tasks, its block and its entries in the feeds; out of use ${others.length === 1 ? 'goes' : 'go'} ${others.join(', ')}, with planned tasks canceled in the feeds.`,
    'History moves to the merged unit: a fire on a part counts with its share of all acres, other work on a part is partly done.',
  ];
  const blocks = gone(land.blocks, after.blocks);
  if (blocks > 0) notes.push(`Out of use, without units: ${counted(blocks, 'block')}.`);
  const lines = gone(land.lines, after.lines);
  if (lines > 0) notes.push(`Out of use, between the units: ${counted(lines, 'line')}.`);
  const outer = after.lines.filter(
    (line) => line.unitIds.length === 1 && line.unitIds[0] === keep.id,
  );
  if (outer.length > 1)
    notes.push(
      'Outer lines keep their lengths: draw the lines from the edges where these went around each unit.',
    );
  if (
    after.consents.length < land.consents.length ||
    after.approvals.length < land.approvals.length
  )
    notes.push('Consents and approvals for a part do not hold for the whole: ask again.');
  if (units.some((unit) => !unit.boundary))
    notes.push('Not every unit has a boundary, so the merged one has none.');
  return notes;
}

/** What was seen on a part was seen on the whole; its note says where. */
function movedTo<R extends { unitId: number }>(
  keepId: number,
  rows: readonly R[],
  ids: readonly number[],
): R[] {
  return rows.map((row) => (ids.includes(row.unitId) ? { ...row, unitId: keepId } : row));
}

/**
 * 2 to 6 neighboring units of one property as one. The first keeps its row, so that task keys and feed entries live
 * on; the others are left out of the land that comes back, as are their emptied blocks and the lines between them.
 * Facts move: same work on the same day is joined, a fire's share black is scaled by acres (an unknown share as whole),
 * other work that did not cover every part is partly done. SEMANTICS 2, 8, 17. `shape`: outline of all, as measured.
 */
export function mergeUnits(
  land: LandContent,
  treatments: readonly Treatment[],
  merge: UnitMerge,
  shape: MergedShape | null,
  today: IsoDate,
): Outcome<LandChange> {
  const ids = [...new Set([merge.keepId, ...merge.otherIds])];
  const units = ids.flatMap((id) => land.units.find((unit) => unit.id === id) ?? []);
  const problems = mergeProblems(land, units, merge);
  const [keep] = units;
  if (problems.length > 0 || !keep) return { ok: false, problems };
  const merged: Unit = {
    ...keep,
    code: merge.code,
    name: merge.name,
    areaAcres: hundredths(units.reduce((sum, unit) => sum + unit.areaAcres, 0)),
    measuredAcres: shape?.measuredAcres ?? null,
    perimeterFeet: shape?.perimeterFeet ?? null,
    boundary: shape?.boundary ?? null,
    tags: [...new Set(units.flatMap((unit) => unit.tags))],
  };
  const left = land.units.flatMap((unit) =>
    unit.id === keep.id ? [merged] : ids.includes(unit.id) ? [] : [unit],
  );
  const shareLeast = land.settings.shareBlackPercentLeast;
  const after: LandContent = {
    ...land,
    units: left,
    blocks: land.blocks.filter(
      (block) =>
        left.some((unit) => unit.blockId === block.id) ||
        !units.some((unit) => unit.blockId === block.id),
    ),
    lines: mergeLines(land.lines, ids, keep.id),
    neighbours: mergeNeighbours(land.neighbours, ids, keep.id),
    points: withMerged(land.points, ids, keep.id),
    leases: withMerged(land.leases, ids, keep.id),
    grazing: withMerged(land.grazing, ids, keep.id),
    bookings: withMerged(land.bookings, ids, keep.id),
    consents: mergeConsents(land.consents, ids, keep.id),
    contracts: contractsWithMerged(land.contracts, ids, keep.id),
    approvals: mergeApprovals(land.approvals, ids, keep.id),
    visits: movedTo(keep.id, land.visits, ids),
    photoPoints: movedTo(keep.id, land.photoPoints, ids),
    entries: mergeEntries(land.entries, { units, keep, today, treatments, shareLeast }),
  };
  return { ok: true, value: { land: after, notes: mergeNotes(land, after, units, keep) } };
}
