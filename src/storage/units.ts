import type { Database } from 'better-sqlite3';
import type { Problem } from '../core/problems.ts';
import { type Boundary, densityClasses, type Unit } from '../core/units.ts';

interface UnitRow extends Omit<Unit, 'tags' | 'boundary'> {
  tags: string;
  boundary: string | null;
}

const aspects = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW', 'flat'] as const;

/** What is wrong with the fields of a unit, whatever the library; empty = it can be stored. */
export function checkUnit(unit: Omit<Unit, 'id' | 'propertyId' | 'blockId'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `unit-${field}`, field, ref: unit.code, message });
  const { measuredAcres, perimeterFeet, slopePercent, aspect, densityClass } = unit;
  if (unit.code.trim() === '') say('code', 'Code: give the unit a short code, such as N4.');
  if (!(unit.areaAcres > 0 && Number.isFinite(unit.areaAcres)))
    say('areaAcres', 'Acres: give a number above zero.');
  if (measuredAcres !== null && !(measuredAcres > 0))
    say('measuredAcres', 'Measured acres: a boundary must enclose land.');
  if (perimeterFeet !== null && !(perimeterFeet > 0))
    say('perimeterFeet', 'Perimeter: give feet above zero, or leave it blank.');
  if (slopePercent !== null && !(slopePercent >= 0))
    say('slopePercent', 'Slope: give per cent from 0 up, or leave it blank.');
  if (aspect !== null && !aspects.includes(aspect))
    say('aspect', `Aspect: give one of ${aspects.join(', ')}, or leave it blank.`);
  if (densityClass !== null && !densityClasses.includes(densityClass))
    say('densityClass', `Density: give one of ${densityClasses.join(', ')}, or leave it blank.`);
  if (unit.communityKey.trim() === '')
    say('communityKey', 'Natural community: pick one from the list.');
  return problems;
}

const unitColumns = `id, property_id AS propertyId, block_id AS blockId, code, name, area_acres AS areaAcres,
  measured_acres AS measuredAcres, perimeter_feet AS perimeterFeet, community_key AS communityKey, aspect,
  slope_percent AS slopePercent, density_class AS densityClass, tags, boundary`;

function toUnit(row: UnitRow): Unit {
  return {
    ...row,
    tags: JSON.parse(row.tags) as string[],
    boundary: row.boundary === null ? null : (JSON.parse(row.boundary) as Boundary),
  };
}

function fromUnit(unit: Unit | Omit<Unit, 'id'>) {
  return {
    id: null,
    ...unit,
    tags: JSON.stringify(unit.tags),
    boundary: unit.boundary === null ? null : JSON.stringify(unit.boundary),
  };
}

/** Management units. */
export function unitRepository(db: Database) {
  const list = db.prepare<[], UnitRow>(`SELECT ${unitColumns} FROM unit ORDER BY id`);
  const find = db.prepare<[number], UnitRow>(`SELECT ${unitColumns} FROM unit WHERE id = ?`);
  const findByCode = db.prepare<[number, string], UnitRow>(
    `SELECT ${unitColumns} FROM unit WHERE property_id = ? AND code = ?`,
  );
  const countInBlock = db.prepare<[number], number>('SELECT count(*) FROM unit WHERE block_id = ?');
  const insert = db.prepare(
    `INSERT INTO unit (id, property_id, block_id, code, name, area_acres, measured_acres, perimeter_feet,
       community_key, aspect, slope_percent, density_class, tags, boundary)
     VALUES (@id, @propertyId, @blockId, @code, @name, @areaAcres, @measuredAcres, @perimeterFeet,
       @communityKey, @aspect, @slopePercent, @densityClass, @tags, @boundary)`,
  );
  const update = db.prepare(
    `UPDATE unit SET block_id = @blockId, code = @code, name = @name, area_acres = @areaAcres, measured_acres = @measuredAcres,
       perimeter_feet = @perimeterFeet, community_key = @communityKey, aspect = @aspect,
       slope_percent = @slopePercent, density_class = @densityClass, tags = @tags, boundary = @boundary
     WHERE id = @id`,
  );
  let known: { text: string; units: Unit[] } = { text: '', units: [] };
  /** The same list as before, with its boundaries, as long as no unit changed: much is worked out from it. */
  const listed = (): Unit[] => {
    const rows = list.all();
    const text = JSON.stringify(rows);
    if (known.text !== text) known = { text, units: rows.map(toUnit) };
    return known.units;
  };
  const one = (row: UnitRow | undefined): Unit | null => (row ? toUnit(row) : null);
  return {
    list: listed,
    find: (id: number): Unit | null => one(find.get(id)),
    findByCode: (propertyId: number, code: string): Unit | null =>
      one(findByCode.get(propertyId, code)),
    countInBlock: (blockId: number): number => countInBlock.pluck().get(blockId) as number,
    insert: (unit: Unit | Omit<Unit, 'id'>): number =>
      Number(insert.run(fromUnit(unit)).lastInsertRowid),
    update: (unit: Unit): void => {
      update.run(fromUnit(unit));
    },
    clear: (): void => {
      db.exec('DELETE FROM unit');
    },
  };
}
