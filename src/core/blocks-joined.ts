import { type Block, type BlockChange, readinessNone } from './blocks.ts';
import { unitsOf } from './chains.ts';
import { type LandChange, type NextIds, noteWith, shapeProblem } from './land-change.ts';
import type { LandContent } from './library.ts';
import { lineWorkFeet } from './line-work.ts';
import type { Operation } from './operation.ts';
import type { Outcome } from './problems.ts';
import { rotationOf } from './rotation.ts';
import type { Source } from './sources.ts';
import type { Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/** When two blocks are worth one burn. */
export interface SuggestionLimits {
  /** Both blocks are at most this large. */
  acresMost: number;
  /** Their common line is at least this share of the smaller one's edge, in percent, ... */
  sharePercentLeast: number;
  /** ... or at least this long. */
  feetLeast: number;
}

export const suggestionLimitsDefault: SuggestionLimits & Source = {
  acresMost: 40,
  sharePercentLeast: 25,
  feetLeast: 1320,
  status: 'default-to-edit',
  source: 'Our own judgement: a common line of a quarter mile, or a quarter of the edge, pays.',
};

export interface BlockSuggestion {
  /** The larger block first: its sequence is kept. */
  blocks: [Block, Block];
  acres: [number, number];
  sharedFeet: number;
  /** Feet of line work alone, of both, and of the two burned as one. */
  feetApart: number;
  feetTogether: number;
}

interface Pair {
  ids: [number, number];
  sharedFeet: number;
}

/** Pairs of blocks with the edges of their units added up; none of a pair that must burn apart. */
function blockPairs(operation: Operation): Pair[] {
  const pairs = new Map<string, Pair | null>();
  for (const { unitIds, sharedFeet, rule } of operation.neighbours) {
    const [a, b] = unitIds.map((id) => operation.units.find((unit) => unit.id === id));
    if (!a || !b || a.blockId === b.blockId) continue;
    const ids = [a.blockId, b.blockId].sort((x, y) => x - y) as [number, number];
    const property = operation.properties.find((one) => one.id === a.propertyId);
    const key = ids.join(' ');
    const held = pairs.get(key);
    if ((rule ?? property?.neighbourRule) === 'apart' || held === null) pairs.set(key, null);
    else pairs.set(key, { ids, sharedFeet: sharedFeet + (held?.sharedFeet ?? 0) });
  }
  return [...pairs.values()].filter((pair) => pair !== null);
}

/**
 * Pairs of neighboring blocks that one burn would serve: both small, in the same phase of their rotation, with a long
 * common line, and not to be kept apart. Most line saved first. The limits are our own judgement, to edit.
 */
export function suggestBlocks(operation: Operation, limits: SuggestionLimits): BlockSuggestion[] {
  const acresOf = (block: Block) =>
    unitsOf(operation, block).reduce((sum, unit) => sum + unit.areaAcres, 0);
  const edgeOf = (block: Block) =>
    unitsOf(operation, block).reduce((sum, unit) => sum + (unit.perimeterFeet ?? 0), 0);
  return blockPairs(operation)
    .flatMap(({ ids, sharedFeet }): BlockSuggestion[] => {
      const blocks = ids
        .flatMap((id) => operation.blocks.find((block) => block.id === id) ?? [])
        .toSorted((a, b) => acresOf(b) - acresOf(a));
      const [first, second] = blocks;
      if (!first || !second || acresOf(first) > limits.acresMost) return [];
      const phases = [first, second].map((block) => rotationOf(operation, block)?.phase);
      if (phases[0] === undefined || phases[0] !== phases[1]) return [];
      const edges = [first, second].map(edgeOf).filter((feet) => feet > 0);
      const isLongShare =
        edges.length === 2 && sharedFeet >= (Math.min(...edges) * limits.sharePercentLeast) / 100;
      if (!isLongShare && sharedFeet < limits.feetLeast) return [];
      const unitIds = [first, second].map((block) =>
        unitsOf(operation, block).map((unit) => unit.id),
      );
      return [
        {
          blocks: [first, second],
          acres: [acresOf(first), acresOf(second)],
          sharedFeet,
          feetApart: unitIds.reduce((sum, one) => sum + lineWorkFeet(operation, one), 0),
          feetTogether: lineWorkFeet(operation, unitIds.flat()),
        },
      ];
    })
    .toSorted(
      (a, b) =>
        b.feetApart - b.feetTogether - (a.feetApart - a.feetTogether) ||
        b.sharedFeet - a.sharedFeet,
    );
}

/** The stricter of both blocks in what limits a burn. */
function stricter(keep: Block, other: Block): BlockChange {
  const winds = [keep.burnLimits.windFrom, other.burnLimits.windFrom];
  const [a, b] = winds;
  const least = (x: number | null, y: number | null) =>
    x === null || y === null ? (x ?? y) : Math.min(x, y);
  const isHeldLonger = (other.heldUntilYear ?? 0) > (keep.heldUntilYear ?? 0);
  return {
    burnPeopleLeast: Math.max(keep.burnPeopleLeast, other.burnPeopleLeast),
    heldUntilYear: isHeldLonger ? other.heldUntilYear : keep.heldUntilYear,
    heldReason: isHeldLonger ? other.heldReason : keep.heldReason,
    burnLimits: {
      windFrom: a && b ? a.filter((sector) => b.includes(sector)) : (a ?? b ?? null),
      gustMphMost: least(keep.burnLimits.gustMphMost, other.burnLimits.gustMphMost),
      canopyPercent: keep.burnLimits.canopyPercent,
    },
    readiness: readinessNone,
  };
}

/** Facts that named a task of a block that their unit has left answer the step by their treatment. */
function withoutKeysOf(entries: readonly WorkEntry[], blockId: number, units: readonly Unit[]) {
  return entries.map((entry) =>
    entry.taskKey?.startsWith(`block:${blockId}/`) && units.some((unit) => unit.id === entry.unitId)
      ? {
          ...entry,
          taskKey: null,
          note: noteWith(entry.note, 'Logged for its block of that time.'),
        }
      : entry,
  );
}

const blockGone = {
  ok: false as const,
  problems: [shapeProblem('block-unknown', 'This block is not on record any more.')],
};

/**
 * Units of two blocks lit together: those of `otherId` join `keepId`, whose sequence, interval and prescription go on;
 * the other block goes out of use with its tasks. The stricter limits hold; what was on file for either alone is not
 * on file for both. Lines between them stay on record and become inside lines.
 */
export function joinBlocks(
  land: LandContent,
  keepId: number,
  otherId: number,
): Outcome<LandChange> {
  const keep = land.blocks.find((block) => block.id === keepId);
  const other = land.blocks.find((block) => block.id === otherId);
  if (!keep || !other || keep === other) return blockGone;
  if (keep.propertyId !== other.propertyId) {
    const message = 'Blocks: both must be on one property.';
    return { ok: false, problems: [shapeProblem('join-property', message)] };
  }
  const moving = land.units.filter((unit) => unit.blockId === otherId);
  const inside = land.units
    .filter((unit) => unit.blockId === keepId || unit.blockId === otherId)
    .map((unit) => unit.id);
  const codes = moving.map((unit) => unit.code).join(', ');
  const notes = [
    `${codes} ${moving.length === 1 ? 'joins' : 'join'} block ${keep.code} and ${moving.length === 1 ? 'follows' : 'follow'} its sequence; block ${other.code} goes out of use, with its planned tasks.`,
    'The burn plan, consent, notices, permit, people and fuel check of either block do not hold for both: put them on file again.',
  ];
  const { windFrom } = stricter(keep, other).burnLimits ?? {};
  if (windFrom?.length === 0)
    notes.push('No wind sector is left that both blocks allow: mend it in the burn limits.');
  return {
    ok: true,
    value: {
      notes,
      land: {
        ...land,
        units: land.units.map((unit) =>
          unit.blockId === otherId ? { ...unit, blockId: keepId } : unit,
        ),
        blocks: land.blocks.flatMap((block) =>
          block === other ? [] : block === keep ? [{ ...keep, ...stricter(keep, other) }] : [block],
        ),
        neighbours: land.neighbours.map((pair) =>
          pair.unitIds.every((id) => inside.includes(id)) ? { ...pair, rule: 'together' } : pair,
        ),
        entries: withoutKeysOf(land.entries, otherId, moving),
      },
    },
  };
}

/**
 * Each unit of a block in a block of its own again. The block stays with the unit of its code, else with the largest;
 * another unit gets back the retired block of its code where there is one (its tasks keep their feed entries), else a
 * copy with nothing on file.
 */
export function partBlock(
  land: LandContent,
  blockId: number,
  retiredBlocks: readonly Block[],
  next: NextIds,
): Outcome<LandChange> {
  const block = land.blocks.find((one) => one.id === blockId);
  if (!block) return blockGone;
  const units = land.units
    .filter((unit) => unit.blockId === blockId)
    .toSorted((a, b) => b.areaAcres - a.areaAcres);
  const stays = units.find((unit) => unit.code === block.code) ?? units[0];
  if (!stays || units.length < 2) {
    const message = `Block ${block.code} holds one unit only: there is nothing to undo.`;
    return { ok: false, problems: [shapeProblem('part-one-unit', message)] };
  }
  const moving = units.filter((unit) => unit !== stays);
  const taken = moving.find((unit) =>
    land.blocks.some((one) => one.code === unit.code && one.propertyId === unit.propertyId),
  );
  if (taken) {
    const message = `Code: ${taken.code} is the code of another block; change that one first.`;
    return { ok: false, problems: [shapeProblem('part-code', message)] };
  }
  const blocks = moving.map((unit, at): Block => {
    const before = retiredBlocks.find(
      (one) => one.code === unit.code && one.propertyId === unit.propertyId,
    );
    if (before) return { ...before, readiness: readinessNone };
    const { code, name } = unit;
    return { ...block, id: next.block + at, code, name, readiness: readinessNone };
  });
  const blockOf = new Map(moving.map((unit, at) => [unit.id, blocks[at]!]));
  const inside = units.map((unit) => unit.id);
  const notes = [
    `${moving.map((unit) => unit.code).join(', ')} ${moving.length === 1 ? 'gets a block of its' : 'get blocks of their'} own; ${stays.code} stays with block ${block.code}.`,
    'What was on file for the whole block does not hold for the parts: put it on file again.',
  ];
  return {
    ok: true,
    value: {
      notes,
      land: {
        ...land,
        units: land.units.map((unit) => ({
          ...unit,
          blockId: blockOf.get(unit.id)?.id ?? unit.blockId,
        })),
        blocks: [
          ...land.blocks.map((one) => (one === block ? { ...one, readiness: readinessNone } : one)),
          ...blocks,
        ].toSorted((a, b) => a.id - b.id),
        neighbours: land.neighbours.map((pair) =>
          pair.unitIds.every((id) => inside.includes(id)) && pair.rule === 'together'
            ? { ...pair, rule: null }
            : pair,
        ),
        entries: withoutKeysOf(land.entries, blockId, moving),
      },
    },
  };
}
