import type { Database } from 'better-sqlite3';
import { parseIsoDate } from '../core/dates.ts';
import type { Position } from '../core/geometry.ts';
import { type Line, lineKinds } from '../core/lines.ts';
import type { Problem } from '../core/problems.ts';
import type { NeighbourPair, NeighbourRule } from '../core/properties.ts';

type LineRow = Omit<Line, 'unitIds' | 'path'> & { path: string | null };

interface NeighbourRow {
  unitA: number;
  unitB: number;
  sharedFeet: number;
  rule: NeighbourRule | null;
}

const lineColumns = `id, property_id AS propertyId, name, kind, length_feet AS lengthFeet, width_feet AS widthFeet,
  ready_on AS readyOn, good_until AS goodUntil, path`;

const pathText = ({ path }: Pick<Line, 'path'>) => (path === null ? null : JSON.stringify(path));

/** Lines with the units on their sides, and pairs of neighbouring units. */
export function lineRepository(db: Database) {
  const list = db.prepare<[], LineRow>(`SELECT ${lineColumns} FROM line ORDER BY id`);
  const listSides = db.prepare<[], { lineId: number; unitId: number }>(
    'SELECT line_id AS lineId, unit_id AS unitId FROM line_unit ORDER BY rowid',
  );
  const insert = db.prepare(
    `INSERT INTO line (id, property_id, name, kind, length_feet, width_feet, ready_on, good_until, path)
     VALUES (@id, @propertyId, @name, @kind, @lengthFeet, @widthFeet, @readyOn, @goodUntil, @path)`,
  );
  const update = db.prepare(
    `UPDATE line SET name = @name, kind = @kind, length_feet = @lengthFeet, width_feet = @widthFeet,
       ready_on = @readyOn, good_until = @goodUntil, path = @path
     WHERE id = @id`,
  );
  const insertSide = db.prepare('INSERT INTO line_unit (line_id, unit_id) VALUES (?, ?)');
  const dropSides = db.prepare('DELETE FROM line_unit WHERE line_id = ?');
  const listPairs = db.prepare<[], NeighbourRow>(
    `SELECT unit_a AS unitA, unit_b AS unitB, shared_feet AS sharedFeet, rule FROM neighbour
     ORDER BY unit_a, unit_b`,
  );
  const insertPair = db.prepare(
    'INSERT INTO neighbour (unit_a, unit_b, shared_feet, rule) VALUES (?, ?, ?, ?)',
  );
  const dropPairs = db.prepare(
    `DELETE FROM neighbour WHERE unit_a IN (SELECT id FROM unit WHERE property_id = @propertyId)
       AND unit_b IN (SELECT id FROM unit WHERE property_id = @propertyId)`,
  );
  const dropPair = db.prepare(
    `DELETE FROM neighbour
     WHERE min(unit_a, unit_b) = min(@a, @b) AND max(unit_a, unit_b) = max(@a, @b)`,
  );
  const saveSides = (lineId: number, unitIds: readonly number[]) => {
    dropSides.run(lineId);
    for (const unitId of unitIds) insertSide.run(lineId, unitId);
  };
  return {
    list: (): Line[] => {
      const unitsByLine = new Map<number, number[]>();
      for (const { lineId, unitId } of listSides.all()) {
        const unitIds = unitsByLine.get(lineId);
        if (unitIds) unitIds.push(unitId);
        else unitsByLine.set(lineId, [unitId]);
      }
      return list.all().map((row) => ({
        ...row,
        path: row.path === null ? null : (JSON.parse(row.path) as Position[][]),
        unitIds: unitsByLine.get(row.id) ?? [],
      }));
    },
    insert: (line: Line | Omit<Line, 'id'>): number => {
      const lineId = Number(
        insert.run({ id: null, ...line, path: pathText(line) }).lastInsertRowid,
      );
      saveSides(lineId, line.unitIds);
      return lineId;
    },
    update: (line: Line): void => {
      update.run({ ...line, path: pathText(line) });
      saveSides(line.id, line.unitIds);
    },
    neighbours: (): NeighbourPair[] =>
      listPairs.all().map(({ unitA, unitB, sharedFeet, rule }) => ({
        unitIds: [unitA, unitB],
        sharedFeet,
        rule,
      })),
    insertNeighbours: (pair: NeighbourPair): void => {
      insertPair.run(pair.unitIds[0], pair.unitIds[1], pair.sharedFeet, pair.rule);
    },
    dropPair: ({ unitIds: [a, b] }: Pick<NeighbourPair, 'unitIds'>): void => {
      dropPair.run({ a, b });
    },
    dropNeighbours: (propertyId: number): void => {
      dropPairs.run({ propertyId });
    },
    clear: (): void => {
      db.exec('DELETE FROM neighbour; DELETE FROM line');
    },
  };
}

/** What is wrong with a line as entered; empty = it can be stored. */
export function checkLine(line: Omit<Line, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `line-${field}`, field, ref: line.name, message });
  const { lengthFeet, widthFeet, readyOn, goodUntil } = line;
  if (line.name.trim() === '') say('name', 'Name: give the line a name.');
  if (!lineKinds.includes(line.kind)) say('kind', 'Kind: pick one from the list.');
  if (!(lengthFeet > 0 && Number.isFinite(lengthFeet)))
    say('lengthFeet', 'Length: give feet above zero.');
  if (widthFeet !== null && !(widthFeet > 0))
    say('widthFeet', 'Width: give feet above zero, or leave it blank.');
  if (readyOn !== null && !parseIsoDate(readyOn))
    say('readyOn', 'Made on: give a real day, or leave it blank.');
  if (goodUntil !== null && !parseIsoDate(goodUntil))
    say('goodUntil', 'Good until: give a real day, or leave it blank.');
  return problems;
}
