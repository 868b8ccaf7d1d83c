import { type IsoDate, monthDay } from '../../core/dates.ts';
import { openTasks } from '../../core/load.ts';
import type { Operation } from '../../core/operation.ts';
import type { PlanContent } from '../../core/plans.ts';
import type { Property } from '../../core/properties.ts';
import { type FireStatus, fireStatus, fireStatusWords } from '../../core/rotation.ts';
import { burningSeasonName, burningSeasonOf } from '../../core/seasons.ts';
import type { PlannedTask } from '../../core/tasks.ts';
import type { Family } from '../../core/treatments.ts';
import type { Unit } from '../../core/units.ts';
import * as words from '../words.ts';
import { type MapFill, mapFills } from './map-drawing.ts';
import { fireKindNames } from './units.ts';

export const mapShows = ['community', 'fire', 'next', 'season'] as const;
export type MapShow = (typeof mapShows)[number];

export const mapShowNames: Readonly<Record<MapShow, string>> = {
  community: 'natural community',
  fire: 'time since fire',
  next: 'next treatment',
  season: 'season of the next burn',
};

/** A fire status keeps its fill, whatever else is on the map; overdue is the warm one. */
const fireFills: Readonly<Record<FireStatus['kind'], MapFill>> = {
  overdue: 'g',
  'no-fire-on-record': 'b',
  within: 'd',
  held: 'e',
  'not-planned': 'a',
};

/** A family keeps its fill as well; the washes are those of its chips. */
const familyFills: Readonly<Record<Family, MapFill>> = {
  burn: 'g',
  cut: 'f',
  line: 'b',
  spray: 'e',
  plant: 'c',
  monitor: 'd',
  notice: 'h',
};

/** The present burning season and those after it. */
const seasonFills: readonly MapFill[] = ['g', 'f', 'd', 'c', 'e', 'h'];
const nothingFill: MapFill = 'a';

/** A unit on the map: its fill with the fill's name, and what may stand under its code. */
export interface FilledUnit {
  unit: Unit;
  fill: MapFill;
  fillName: string;
  notes: string[];
  fireWords: string;
  isOverdue: boolean;
  nextWords: string;
  burnWords: string;
}

function nextOf(
  tasks: readonly PlannedTask[],
  unit: Unit,
  isAsked: (task: PlannedTask) => boolean,
) {
  const own = tasks.filter(
    (task) =>
      isAsked(task) &&
      (task.unitId === null ? task.blockId === unit.blockId : task.unitId === unit.id),
  );
  return own.reduce<PlannedTask | null>(
    (first, task) => (first && first.startsOn <= task.startsOn ? first : task),
    null,
  );
}

const whenWords = (task: PlannedTask) => words.span(task.startsOn, task.lastDay);

function fireNotes(status: FireStatus): string[] {
  if (status.kind === 'overdue' || status.kind === 'within')
    return [`${status.yearsSince.toFixed(1)} yr`];
  return status.kind === 'no-fire-on-record' ? ['no fire on record'] : [];
}

type Filling = Pick<FilledUnit, 'fill' | 'fillName' | 'notes'>;

function byCommunity(operation: Operation, unit: Unit): Filling {
  // The table's order, so that two maps of one operation agree.
  const at = operation.communities.findIndex(({ key }) => key === unit.communityKey);
  const fillName = operation.communities[at]?.name ?? unit.communityKey;
  return { fill: mapFills[Math.max(0, at) % mapFills.length]!, fillName, notes: [] };
}

function byNext(next: PlannedTask | null): Filling {
  if (!next) return { fill: nothingFill, fillName: 'nothing planned', notes: [] };
  const { family, name } = next;
  const notes = [name, words.familyLetters[family]];
  return { fill: familyFills[family], fillName: words.familyNames[family].toLowerCase(), notes };
}

function bySeason(burn: PlannedTask | null, present: number, property: Property): Filling {
  if (!burn) return { fill: nothingFill, fillName: 'no burn planned', notes: [] };
  const season = burningSeasonOf(burn.startsOn, property.burningSeasonStart ?? monthDay('07-01'));
  const at = Math.min(Math.max(0, season - present), seasonFills.length - 1);
  const name = burningSeasonName(season);
  return { fill: seasonFills[at]!, fillName: `burn planned ${name}`, notes: [name] };
}

/** The units of a property with what fills them. */
export function filledUnits(
  operation: Operation,
  plan: PlanContent | null,
  property: Property,
  today: IsoDate,
  show: MapShow,
): FilledUnit[] {
  const tasks = openTasks(operation, plan?.tasks ?? []).filter(({ lastDay }) => lastDay >= today);
  const present = burningSeasonOf(today, property.burningSeasonStart);
  return operation.units
    .filter((unit) => unit.propertyId === property.id)
    .map((unit) => {
      const status = fireStatus(operation, unit, today);
      const next = nextOf(tasks, unit, ({ tiedToKey }) => tiedToKey === null);
      const burn = nextOf(tasks, unit, ({ family }) => family === 'burn');
      const fillings: Record<MapShow, () => Filling> = {
        community: () => byCommunity(operation, unit),
        fire: () => ({
          fill: fireFills[status.kind],
          fillName: fireKindNames[status.kind],
          notes: fireNotes(status),
        }),
        next: () => byNext(next),
        season: () => bySeason(burn, present, property),
      };
      return {
        unit,
        ...fillings[show](),
        fireWords: fireStatusWords(status),
        isOverdue: status.kind === 'overdue',
        nextWords: next ? `${next.name}, ${whenWords(next)}` : 'nothing planned',
        burnWords: burn ? `one day when fit, ${whenWords(burn)}` : 'no burn planned',
      };
    });
}
