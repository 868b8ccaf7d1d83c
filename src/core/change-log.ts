/** A stored row by column; what is not in a database column as text or number is null. */
export type StoredRow = Record<string, string | number | null>;

/** Primary key of a row, in the order of its columns. */
export type RowKey = (string | number)[];

/** What one write did to one row. */
export interface RowChange {
  /** Rises with every change: the newest one of a row is the row's version. */
  id: number;
  table: string;
  key: RowKey;
  /** Property that the row belongs to; null = it concerns all of them. */
  propertyId: number | null;
  /** Null = the row was not there. */
  before: StoredRow | null;
  after: StoredRow | null;
  /** No later change of the row is on record. */
  isLast: boolean;
}

/** What was written together: all of it happened or none. */
export interface ChangeGroup {
  id: number;
  /** UTC, `YYYY-MM-DDTHH:MM:SSZ`. */
  at: string;
  personId: number | null;
  /** Name as it was on that day; null = nobody was signed in. */
  person: string | null;
  /** A sentence; empty where the writer gave none. */
  what: string;
  changes: RowChange[];
  /** All rows of the group, also those that the list leaves off. */
  rowCount: number;
}

/** What a list of changes is narrowed to; null = all. */
export interface ChangeFilter {
  table: string | null;
  key: RowKey | null;
  person: string | null;
  /** UTC days, both included. */
  from: string | null;
  until: string | null;
  /** Rows of these properties alone, as for a person limited to them. */
  propertyIds: readonly number[] | null;
}

export const everyChange: ChangeFilter = {
  table: null,
  key: null,
  person: null,
  from: null,
  until: null,
  propertyIds: null,
};

/** Groups of changes on one page of a list. */
export const groupsPerPage = 50;

/** Rows of one group that a list shows. */
export const rowsOfGroupMost = 25;

/** Days for which what was removed can be brought back. */
export const removedKeptDays = 90;

/** True when the columns of `logged` are the same in the row as it is; columns that came later are not asked. */
export function isSameRow(now: StoredRow | null, logged: StoredRow | null): boolean {
  if (now === null || logged === null) return now === logged;
  return Object.entries(logged).every(([column, value]) => now[column] === value);
}

/** Columns that differ, in the order of the newer row. */
export function changedColumns({ before, after }: RowChange): string[] {
  const columns = Object.keys(after ?? before ?? {});
  return columns.filter((column) => (before?.[column] ?? null) !== (after?.[column] ?? null));
}
