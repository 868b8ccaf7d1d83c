import { addDays, type IsoDate } from '../../src/core/dates.ts';
import type { LandContent, Library } from '../../src/core/library.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import type { Boundary } from '../../src/core/units.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';

/** Degrees between one copy of the sample land and the next. */
const tileDegrees = 0.08;
const fires = new Set(['dormant-burn', 'late-season-burn', 'early-growing-season-burn']);

type Position = readonly number[];

function movedBoundary(boundary: Boundary | null, east: number): Boundary | null {
  if (!boundary) return null;
  const moved = (part: unknown): unknown => {
    if (!Array.isArray(part)) return part;
    if (typeof part[0] === 'number') return [part[0] + east, part[1]];
    return part.map(moved);
  };
  return { ...boundary, coordinates: moved(boundary.coordinates) } as Boundary;
}

const movedPath = (path: readonly Position[], east: number) =>
  path.map(([longitude, latitude]) => [longitude! + east, latitude!]);

/**
 * `copies` of the sample land side by side on four properties, with one set of crews and people: 16 make 512
 * units with their blocks, lines, neighbours and rights.
 */
function tiledLand(today: IsoDate, copies: number): LandContent {
  const base = sampleLand(today);
  const at = (copy: number, id: number, count: number) => copy * count + id;
  const letter = (copy: number) => String.fromCharCode(65 + copy);
  const tiles = Array.from({ length: copies }, (_, copy) => {
    const east = tileDegrees * copy;
    const property = (id: number) => (copy % 2) * 2 + id;
    const unit = (id: number) => at(copy, id, base.units.length);
    const block = (id: number) => at(copy, id, base.blocks.length);
    const named = <T extends { code: string; name: string }>(row: T): T => ({
      ...row,
      code: `${letter(copy)}${row.code}`,
      name: `${row.name} ${letter(copy)}`,
    });
    const roles = copy === 0 ? undefined : [];
    return {
      units: base.units.map((row) => ({
        ...named(row),
        id: unit(row.id),
        propertyId: property(row.propertyId),
        blockId: block(row.blockId),
        boundary: movedBoundary(row.boundary, east),
      })),
      blocks: base.blocks.map((row) => ({
        ...named(row),
        id: block(row.id),
        propertyId: property(row.propertyId),
        readiness: { ...row.readiness, roles: roles ?? row.readiness.roles },
      })),
      lines: base.lines.map((row) => ({
        ...row,
        id: at(copy, row.id, base.lines.length),
        name: `${letter(copy)} ${row.name}`,
        propertyId: property(row.propertyId),
        unitIds: row.unitIds.map(unit),
        path: (row.path?.map((path) => movedPath(path, east)) ?? null) as typeof row.path,
      })),
      neighbours: base.neighbours.map((row) => ({
        ...row,
        unitIds: [unit(row.unitIds[0]), unit(row.unitIds[1])] as [number, number],
      })),
      entries: base.entries.map((row) => ({ ...row, unitId: unit(row.unitId) })),
    };
  });
  const all = <K extends keyof (typeof tiles)[number]>(kind: K) =>
    tiles.flatMap((tile) => tile[kind] as never[]) as (typeof tiles)[number][K];
  const second = base.properties.map((row) => ({
    ...row,
    id: row.id + 2,
    name: `${row.name} East`,
    longitude: row.longitude + tileDegrees,
  }));
  return {
    ...base,
    properties: [...base.properties, ...second],
    units: all('units'),
    blocks: all('blocks'),
    lines: all('lines'),
    neighbours: all('neighbours'),
    entries: all('entries'),
  };
}

/**
 * Work of the last five years on every unit, up to `count` entries; nothing of it was a fire or a felling. What
 * lies after a block's sequence began is upkeep outside sequences, so that the sample's chains stand where they stood.
 */
function moreEntries(
  land: LandContent,
  { treatments, sequences }: Library,
  today: IsoDate,
  count: number,
): WorkEntry[] {
  const kinds = treatments.filter(({ key, family }) => !fires.has(key) && family !== 'cut');
  const inSequences = new Set(
    sequences.flatMap(({ steps }) => steps.flatMap((step) => step.treatmentKeys)),
  );
  const upkeep = kinds.filter(({ key }) => !inSequences.has(key));
  const startOf = new Map(land.blocks.map((block) => [block.id, block.sequenceStartsOn]));
  const more = Math.max(0, count - land.entries.length);
  return Array.from({ length: more }, (_, at): WorkEntry => {
    const unit = land.units[at % land.units.length]!;
    const round = Math.floor(at / land.units.length);
    const daysAgo = 3 + Math.floor((round * 1825 * land.units.length) / more) + (at % 29);
    const doneOn = addDays(today, -daysAgo);
    const isBefore = doneOn < (startOf.get(unit.blockId) ?? '');
    const fitting = isBefore ? kinds : upkeep;
    const treatment = fitting[(round * 7 + (at % 5)) % fitting.length]!;
    return {
      id: 0,
      unitId: unit.id,
      treatmentKey: treatment.key,
      taskKey: null,
      startedOn: null,
      doneOn,
      precision: 'day',
      outcome: 'done',
      reason: '',
      areaAcres: unit.areaAcres,
      crewDays: (at % 6) / 2,
      personHours: null,
      shareBlackPercent: null,
      fireCause: null,
      signedOutOn: null,
      note: `Round ${round} of five years of upkeep.`,
    };
  });
}

/**
 * A large invented operation for the load figures: `copies` times the sample land (32 units each), `entryCount`
 * entries of five years, `peopleCount` people.
 */
export function manyLand(
  library: Library,
  today: IsoDate,
  { copies = 16, entryCount = 20_000, peopleCount = 30 } = {},
): LandContent {
  const land = tiledLand(today, copies);
  const entries = [...land.entries, ...moreEntries(land, library, today, entryCount)]
    .sort((a, b) => (a.doneOn < b.doneOn ? -1 : a.doneOn > b.doneOn ? 1 : a.unitId - b.unitId))
    .map((entry, index) => ({ ...entry, id: index + 1 }));
  const model = land.people.at(-1)!;
  const firstId = 1000;
  const people = Array.from({ length: Math.max(0, peopleCount - land.people.length) }, (_, at) => ({
    ...model,
    id: firstId + at,
    name: `Helper ${at + 1}`,
  }));
  return { ...land, entries, people: [...land.people, ...people] };
}
