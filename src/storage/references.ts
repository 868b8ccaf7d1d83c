import type { Database } from 'better-sqlite3';

/** Tables that rows name by number inside their JSON, by the name of the field; people are rows of `land_record`. */
const namedTables: Readonly<Record<string, string>> = {
  landownerId: 'landowner',
  propertyId: 'property',
  unitId: 'unit',
  unitIds: 'unit',
  blockId: 'block',
  blockIds: 'block',
  lineId: 'line',
  lineIds: 'line',
  crewId: 'crew',
  crewIds: 'crew',
  personId: 'land_record',
  entryId: 'work_entry',
  entryIds: 'work_entry',
};

/** JSON columns that name rows; a plain list of numbers is under the name of what it lists. */
const namingColumns: readonly { from: string; content: string }[] = [
  { from: 'land_record', content: 'content' },
  { from: 'library_override', content: 'content' },
  { from: 'block', content: 'readiness' },
  {
    from: 'own_feed',
    content: "json_object('crewIds', json(crew_ids), 'unitIds', json(unit_ids))",
  },
  { from: 'go_no_go', content: "json_object('blockId', block_id)" },
];

/** Numbers in a value by the field that names them. */
function numbersIn(value: unknown, field: string): [string, number][] {
  if (typeof value === 'number') return namedTables[field] ? [[field, value]] : [];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, part]) =>
    numbersIn(part, Array.isArray(value) ? field : key),
  );
}

/** Rows that name another row inside JSON which is not there, as `land_record 4 names unit 7`: no foreign key holds these. */
export function lostReferences(db: Database): string[] {
  const known = new Map<string, Set<number>>();
  const idsOf = (table: string): Set<number> => {
    const found =
      known.get(table) ??
      new Set(db.prepare<[], number>(`SELECT id FROM "${table}"`).pluck().all());
    known.set(table, found);
    return found;
  };
  return namingColumns.flatMap(({ from, content }) =>
    db
      .prepare<[], { row: number; content: string }>(
        `SELECT rowid AS row, ${content} AS content FROM "${from}"`,
      )
      .all()
      .flatMap((row) =>
        numbersIn(JSON.parse(row.content), '').flatMap(([field, id]) => {
          const table = namedTables[field] ?? '';
          return idsOf(table).has(id) ? [] : [`${from} ${row.row} names ${table} ${id}`];
        }),
      ),
  );
}
