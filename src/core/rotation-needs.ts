import type { Block } from './blocks.ts';
import { sequenceOf, unitsOf } from './chains.ts';
import type { IsoDate } from './dates.ts';
import type { Operation } from './operation.ts';
import type { Property } from './properties.ts';
import { acresAYear } from './rates.ts';
import { fires, rotationOf } from './rotation.ts';
import { burningSeasonOf } from './seasons.ts';
import type { PlannedTask } from './tasks.ts';

/** What the intervals of a property ask of one natural community. Acres as planned by. */
export interface CommunityNeed {
  key: string;
  name: string;
  areaAcres: number;
  /** Sum over units of acres by the target years of their block. */
  targetAcresAYear: number;
  /** The same by the most years: less than this, and something falls overdue. */
  leastAcresAYear: number;
}

/** What the intervals ask, by natural community, in the order of the acres; blocks that are held count with the others. */
export function needByCommunity(
  operation: Operation,
  property: Pick<Property, 'id'>,
): CommunityNeed[] {
  const needs = new Map<string, CommunityNeed>();
  for (const block of operation.blocks) {
    const rotation = rotationOf(operation, block);
    if (block.propertyId !== property.id || !rotation) continue;
    for (const { communityKey: key, areaAcres } of unitsOf(operation, block)) {
      const name = operation.communities.find((one) => one.key === key)?.name ?? key;
      const need = needs.get(key) ?? {
        key,
        name,
        areaAcres: 0,
        targetAcresAYear: 0,
        leastAcresAYear: 0,
      };
      needs.set(key, {
        ...need,
        areaAcres: need.areaAcres + areaAcres,
        targetAcresAYear: need.targetAcresAYear + acresAYear(areaAcres, rotation.targetYears),
        leastAcresAYear: need.leastAcresAYear + acresAYear(areaAcres, rotation.mostYears),
      });
    }
  }
  return [...needs.values()].sort((a, b) => b.areaAcres - a.areaAcres);
}

/** Acres of one burning season, named by the year in which it starts. */
export interface SeasonAcres {
  season: number;
  burnedAcres: number;
  plannedAcres: number;
}

/**
 * Acres burned in each of the last `seasonsBefore` burning seasons and in the present one so far, and planned in the
 * present and coming ones. A fire without acres counts as its share black of the unit, an unknown share as whole; a
 * fire known to the year only counts in the season that holds 1 January of it.
 */
export function burnedAndPlanned(
  operation: Operation,
  property: Property,
  today: IsoDate,
  planned: readonly PlannedTask[],
  seasonsBefore: number,
): SeasonAcres[] {
  const seasonOf = (date: IsoDate) => burningSeasonOf(date, property.burningSeasonStart);
  const present = seasonOf(today);
  const burned = operation.units
    .filter((unit) => unit.propertyId === property.id)
    .flatMap((unit) =>
      fires(operation, unit).map((fire) => ({
        season: seasonOf(fire.doneOn),
        acres: fire.areaAcres ?? (unit.areaAcres * (fire.shareBlackPercent ?? 100)) / 100,
      })),
    );
  const burns = planned
    .filter((task) => task.propertyId === property.id && task.family === 'burn')
    .map((task) => ({ season: seasonOf(task.startsOn), acres: task.areaAcres }));
  const last = Math.max(present, ...burns.map(({ season }) => season));
  const sum = (rows: readonly { season: number; acres: number }[], season: number) =>
    rows.filter((row) => row.season === season).reduce((acres, row) => acres + row.acres, 0);
  return Array.from({ length: seasonsBefore + 1 + last - present }, (_, i) => {
    const season = present - seasonsBefore + i;
    return { season, burnedAcres: sum(burned, season), plannedAcres: sum(burns, season) };
  });
}

/** True when a burn of the block's sequence can also be done late in the growing season: it has a second treatment. */
export function hasLateMode(operation: Operation, block: Block): boolean {
  return (sequenceOf(operation, block)?.steps ?? []).some(({ treatmentKeys: [first, second] }) => {
    const family = operation.treatments.find(({ key }) => key === first)?.family;
    return family === 'burn' && second !== undefined;
  });
}
