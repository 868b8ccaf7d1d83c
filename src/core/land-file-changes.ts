import type { FileBlock, FileLine, FilePoint, FileUnit, LandFile, LandNoun } from './land-file.ts';
import type { Line } from './lines.ts';
import type { Operation } from './operation.ts';
import type { PointToProtect } from './points.ts';
import type { Outcome, Problem } from './problems.ts';
import type { Unit } from './units.ts';

export interface FieldChange {
  field: string;
  from: string;
  to: string;
}

/** What a file means for one row on file. `missing`: it is not in the file, and stays as it is. */
export interface LandFileRow {
  what: LandNoun;
  /** Code, or name of a line or point. */
  key: string;
  id: number | null;
  state: 'new' | 'changed' | 'unchanged' | 'missing';
  changes: FieldChange[];
}

type NewUnit = Omit<Unit, 'id' | 'propertyId' | 'blockId'>;

/** Rows to write, and the report of all. An id of null = a new row. */
export interface LandFileChanges {
  units: { id: number | null; unit: NewUnit; blockCode: string | null }[];
  blocks: FileBlock[];
  lines: {
    id: number | null;
    line: Omit<Line, 'id' | 'propertyId' | 'unitIds'>;
    unitCodes: string[];
  }[];
  points: {
    id: number | null;
    point: Omit<PointToProtect, 'id' | 'propertyId' | 'unitIds'>;
    unitCodes: string[];
  }[];
  report: LandFileRow[];
}

type Fields = Record<string, unknown>;

/** Fields whose old and new values would be walls of numbers. */
function shown(field: string, value: unknown): string {
  if (value === null || value === '' || value === undefined) return 'blank';
  if (field === 'boundary' || field === 'path') return 'as mapped';
  if (Array.isArray(value)) return value.length === 0 ? 'none' : value.join(', ');
  return String(value);
}

function changesOf(before: Fields, after: Fields): FieldChange[] {
  return Object.entries(after).flatMap(([field, to]): FieldChange[] => {
    const from = before[field];
    if (JSON.stringify(from) === JSON.stringify(to)) return [];
    const isShape = (field === 'boundary' || field === 'path') && from !== null && to !== null;
    return [{ field, from: shown(field, from), to: isShape ? 'redrawn' : shown(field, to) }];
  });
}

const measured = new Set(['measuredAcres', 'perimeterFeet']);

/** Measured figures follow the boundary: a change of theirs alone is none. */
function unitChanges(before: Fields, after: Fields): FieldChange[] {
  const all = changesOf(before, after);
  const isRedrawn = all.some(({ field }) => field === 'boundary');
  return isRedrawn ? all : all.filter(({ field }) => !measured.has(field));
}

function mergedUnit(before: Unit, row: FileUnit): NewUnit {
  const isDrawn = row.boundary !== null;
  const isSameShape = JSON.stringify(row.boundary) === JSON.stringify(before.boundary);
  const shape = isDrawn && !isSameShape ? row : before;
  return {
    code: row.code,
    name: row.name,
    areaAcres: row.areaAcres,
    measuredAcres: shape.measuredAcres,
    perimeterFeet: shape.perimeterFeet,
    communityKey: row.communityKey,
    aspect: row.aspect ?? before.aspect,
    slopePercent: row.slopePercent ?? before.slopePercent,
    densityClass: row.densityClass ?? before.densityClass,
    tags: row.tags.length > 0 ? row.tags : before.tags,
    boundary: shape.boundary,
  };
}

function stateOf(isNew: boolean, changes: readonly FieldChange[]): LandFileRow['state'] {
  if (isNew) return 'new';
  return changes.length > 0 ? 'changed' : 'unchanged';
}

interface Place {
  operation: Operation;
  propertyId: number;
  codesOf(ids: readonly number[]): string[];
}

function readUnits(file: LandFile, { operation, propertyId }: Place, into: LandFileChanges) {
  const known = operation.units.filter((unit) => unit.propertyId === propertyId);
  for (const row of file.units) {
    const before = known.find((unit) => unit.code === row.code);
    const { blockCode, ...own } = row;
    const unit = before ? mergedUnit(before, row) : own;
    const block = before && operation.blocks.find((one) => one.id === before.blockId);
    const changes = before ? unitChanges({ ...before }, { ...unit }) : [];
    const isMoved = block !== undefined && blockCode !== null && blockCode !== block.code;
    if (isMoved) changes.push({ field: 'block', from: block.code, to: blockCode });
    const state = stateOf(!before, changes);
    const id = before?.id ?? null;
    into.report.push({ what: 'unit', key: row.code, id, state, changes });
    if (state !== 'unchanged') into.units.push({ id, unit, blockCode });
  }
}

function readBlocks(file: LandFile, { operation, propertyId }: Place, into: LandFileChanges) {
  const known = operation.blocks.filter((block) => block.propertyId === propertyId);
  for (const row of file.blocks) {
    const before = known.find((block) => block.code === row.code);
    const changes = before ? changesOf({ name: before.name }, { name: row.name }) : [];
    const state = stateOf(!before, changes);
    into.report.push({ what: 'block', key: row.code, id: before?.id ?? null, state, changes });
    if (state !== 'unchanged') into.blocks.push(row);
  }
}

function lengthOf(row: FileLine, before: Line | undefined): number | null {
  const isSameCourse =
    row.path === null || JSON.stringify(row.path) === JSON.stringify(before?.path);
  // The old length comes along in the file when a course is redrawn in a mapping program.
  const isOldLength = row.lengthFeet === null || row.lengthFeet === before?.lengthFeet;
  if (!isSameCourse && isOldLength) return row.measuredFeet;
  return row.lengthFeet ?? before?.lengthFeet ?? row.measuredFeet;
}

function missingField(what: LandNoun, key: string, field: string, fix: string): Problem {
  const message = `New ${what} "${key}", ${field}: ${fix}.`;
  return { code: `new-${what}-${field}`, field, ref: key, message };
}

function readLines(file: LandFile, place: Place, into: LandFileChanges): Problem[] {
  const known = place.operation.lines.filter((line) => line.propertyId === place.propertyId);
  return file.lines.flatMap((row): Problem[] => {
    const before = known.find((line) => line.name === row.name);
    const kind = row.kind ?? before?.kind ?? null;
    const lengthFeet = lengthOf(row, before);
    if (kind === null)
      return [missingField('line', row.name, 'kind', 'say disked, mown, road or the like')];
    if (lengthFeet === null)
      return [missingField('line', row.name, 'length_feet', 'give its feet, or draw it')];
    const line = {
      name: row.name,
      kind,
      lengthFeet,
      widthFeet: row.widthFeet ?? before?.widthFeet ?? null,
      readyOn: row.readyOn ?? before?.readyOn ?? null,
      goodUntil: row.goodUntil ?? before?.goodUntil ?? null,
      path: row.path ?? before?.path ?? null,
    };
    const codesBefore = before ? place.codesOf(before.unitIds) : [];
    const unitCodes = row.unitCodes ?? codesBefore;
    const changes = before
      ? changesOf({ ...before, units: codesBefore }, { ...line, units: unitCodes })
      : [];
    const state = stateOf(!before, changes);
    const id = before?.id ?? null;
    into.report.push({ what: 'line', key: row.name, id, state, changes });
    if (state !== 'unchanged') into.lines.push({ id, line, unitCodes });
    return [];
  });
}

function mergedPoint(row: FilePoint, before: PointToProtect | undefined) {
  return {
    name: row.name,
    position: row.position ?? before?.position ?? null,
    bufferFeet: row.bufferFeet ?? before?.bufferFeet ?? 0,
    barsFamilies: row.barsFamilies ?? before?.barsFamilies ?? [],
    opens: row.opens ?? before?.opens ?? null,
    closes: row.closes ?? before?.closes ?? null,
    firmness: row.firmness ?? before?.firmness ?? ('hard' as const),
    rule: row.rule ?? before?.rule ?? '',
  };
}

function readPoints(file: LandFile, place: Place, into: LandFileChanges): Problem[] {
  const known = place.operation.points.filter((point) => point.propertyId === place.propertyId);
  return file.points.flatMap((row): Problem[] => {
    const before = known.find((point) => point.name === row.name);
    const kind = row.kind ?? before?.kind ?? null;
    if (kind === null)
      return [missingField('point', row.name, 'kind', 'say den, roost, gate or the like')];
    const point = { ...mergedPoint(row, before), kind };
    const codesBefore = before ? place.codesOf(before.unitIds) : [];
    const unitCodes = row.unitCodes ?? codesBefore;
    const changes = before
      ? changesOf({ ...before, units: codesBefore }, { ...point, units: unitCodes })
      : [];
    const state = stateOf(!before, changes);
    const id = before?.id ?? null;
    into.report.push({ what: 'point', key: row.name, id, state, changes });
    if (state !== 'unchanged') into.points.push({ id, point, unitCodes });
    return [];
  });
}

function addMissing({ operation, propertyId }: Place, into: LandFileChanges): void {
  const named = new Set(into.report.map(({ what, key }) => `${what} ${key}`));
  const add = (
    what: LandNoun,
    rows: readonly { id: number; propertyId: number }[],
    key: string,
  ) => {
    for (const row of rows) {
      const own = String((row as unknown as Fields)[key]);
      if (row.propertyId === propertyId && !named.has(`${what} ${own}`))
        into.report.push({ what, key: own, id: row.id, state: 'missing', changes: [] });
    }
  };
  add('unit', operation.units, 'code');
  add('line', operation.lines, 'name');
  add('point', operation.points, 'name');
}

/** Blocks, lines and points name units that have to be there or to come. */
function unknownCodes(into: LandFileChanges, { operation, propertyId }: Place): Problem[] {
  const codes = new Set([
    ...operation.units.filter((unit) => unit.propertyId === propertyId).map(({ code }) => code),
    ...into.units.map(({ unit }) => unit.code),
  ]);
  const users = [
    ...into.lines.map(({ line, unitCodes }) => ({ name: `Line "${line.name}"`, unitCodes })),
    ...into.points.map(({ point, unitCodes }) => ({ name: `Point "${point.name}"`, unitCodes })),
  ];
  return users.flatMap(({ name, unitCodes }) =>
    unitCodes
      .filter((code) => !codes.has(code))
      .map((code) => ({
        code: 'unit-code-unknown',
        field: 'units',
        ref: code,
        message: `${name}, units: there is no unit "${code}" on file or in this file; correct the code.`,
      })),
  );
}

/**
 * What a file of land would do to a property: units and blocks are known by code, lines and points by name. What a
 * file leaves blank stays as it was, and what it does not name stays. All or nothing: with a problem there is no plan.
 */
export function landFileChanges(
  file: LandFile,
  operation: Operation,
  propertyId: number,
): Outcome<LandFileChanges> {
  const into: LandFileChanges = { units: [], blocks: [], lines: [], points: [], report: [] };
  const codesOf = (ids: readonly number[]) =>
    ids.flatMap((id) => operation.units.find((unit) => unit.id === id)?.code ?? []);
  const place: Place = { operation, propertyId, codesOf };
  readUnits(file, place, into);
  readBlocks(file, place, into);
  const problems = [...readLines(file, place, into), ...readPoints(file, place, into)];
  problems.push(...unknownCodes(into, place));
  if (problems.length > 0) return { ok: false, problems };
  addMissing(place, into);
  return { ok: true, value: into };
}
