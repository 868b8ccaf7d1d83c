import type { Database } from 'better-sqlite3';
import type { Library } from '../core/library.ts';
import { type ChangeLog, utcSeconds } from './changes.ts';

/** Tables of which the user may lay own rows over the published ones. Cautions always stay as published. */
export type OverrideKind =
  | 'communities'
  | 'treatments'
  | 'sequences'
  | 'noWork'
  | 'prescriptions'
  | 'lineKinds';

export type OverrideRow<K extends OverrideKind> = Library[K][number];

interface StoredRow {
  kind: OverrideKind;
  key: string;
  content: string;
}

/** Published rows with the user's in their place, then the user's additions, in order of keys. */
function laidOver<T extends { key: string }>(published: readonly T[], own: Map<string, unknown>) {
  const merged = published.map((row) => (own.get(row.key) as T | undefined) ?? row);
  const keys = new Set(published.map((row) => row.key));
  const added = [...own].filter(([key]) => !keys.has(key)).map(([, row]) => row as T);
  return [...merged, ...added];
}

/** The user's own rows of the reference tables, each a whole row. */
export function libraryRepository(db: Database, changes: ChangeLog, now: () => Date) {
  const list = db.prepare<[], StoredRow>(
    'SELECT kind, key, content FROM library_override ORDER BY kind, key',
  );
  const write = db.prepare(
    'INSERT OR REPLACE INTO library_override (kind, key, content, changed_at) VALUES (?, ?, ?, ?)',
  );
  const remove = db.prepare('DELETE FROM library_override WHERE kind = ? AND key = ?');
  const dropCounts = db.prepare('DELETE FROM fit_day_count WHERE prescription_key = ?');
  const dropOfProperties = db.prepare(
    `DELETE FROM library_override
     WHERE kind = 'noWork' AND json_extract(content, '$.propertyId') IS NOT NULL`,
  );
  const saveOverride = <K extends OverrideKind>(kind: K, row: OverrideRow<K>): void => {
    write.run(kind, row.key, JSON.stringify(row), utcSeconds(now));
    // Counts were taken under the older ranges; they have to be taken again.
    if (kind === 'prescriptions') dropCounts.run(row.key);
    changes.note('rules', `${row.name} was changed.`);
  };
  const removeOverride = (kind: OverrideKind, key: string): void => {
    if (remove.run(kind, key).changes === 0) return;
    if (kind === 'prescriptions') dropCounts.run(key);
    changes.note('rules', `${key} was set back to the published default.`);
  };
  return {
    /** The published tables with the user's rows laid over them. */
    laidOver: (library: Library): Library => {
      const rows = list.all();
      const own = (kind: OverrideKind) =>
        new Map(
          rows
            .filter((row) => row.kind === kind)
            .map((row) => [row.key, JSON.parse(row.content) as unknown]),
        );
      return {
        ...library,
        communities: laidOver(library.communities, own('communities')),
        treatments: laidOver(library.treatments, own('treatments')),
        sequences: laidOver(library.sequences, own('sequences')),
        noWork: laidOver(library.noWork, own('noWork')),
        prescriptions: laidOver(library.prescriptions, own('prescriptions')),
        lineKinds: laidOver(library.lineKinds, own('lineKinds')),
      };
    },
    /** Keys of the rows that the user changed or added. */
    overrides: (): { kind: OverrideKind; key: string }[] =>
      list.all().map(({ kind, key }) => ({ kind, key })),
    saveOverride: <K extends OverrideKind>(kind: K, row: OverrideRow<K>): void => {
      db.transaction(() => saveOverride(kind, row)).immediate();
    },
    removeOverride: db.transaction(removeOverride).immediate,
    /** Removes no-work dates of single properties, whose land is gone. */
    dropOfProperties: (): void => {
      dropOfProperties.run();
    },
  };
}
