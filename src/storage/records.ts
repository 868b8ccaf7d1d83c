import type { Database } from 'better-sqlite3';
import type { Booking } from '../core/bookings.ts';
import type { Consent } from '../core/consents.ts';
import type { CostShareContract } from '../core/contracts.ts';
import type { GrazingSpan } from '../core/grazing.ts';
import type { Lease } from '../core/leases.ts';
import type { MapLayer } from '../core/map-layers.ts';
import type { TileService } from '../core/map-tiles.ts';
import type { OwnRate } from '../core/own-rates.ts';
import type { Person } from '../core/people.ts';
import type { PlanElement } from '../core/plan-elements.ts';
import type { PointToProtect } from '../core/points.ts';
import type { OwnerLetter, PhotoPoint, Visit } from '../core/visits.ts';

/** Rows of the land that are kept as one record each. */
export interface RecordRows {
  point: PointToProtect;
  lease: Lease;
  grazing: GrazingSpan;
  consent: Consent;
  contract: CostShareContract;
  ownRate: OwnRate;
  person: Person;
  booking: Booking;
  mapLayer: MapLayer;
  planElement: PlanElement;
  tileService: TileService;
  visit: Visit;
  photoPoint: PhotoPoint;
  ownerLetter: OwnerLetter;
}

export type RecordKind = keyof RecordRows;

interface StoredRecord {
  id: number;
  content: string;
}

/** Points to protect, leases, grazing spans, consents, people and bookings, by kind, in order of ids. */
export function recordRepository(db: Database) {
  const list = db.prepare<[RecordKind], StoredRecord>(
    'SELECT id, content FROM land_record WHERE kind = ? ORDER BY id',
  );
  const insert = db.prepare('INSERT INTO land_record (id, kind, content) VALUES (?, ?, ?)');
  const update = db.prepare('UPDATE land_record SET content = ? WHERE id = ? AND kind = ?');
  const textOf = ({ id: _id, ...content }: { id?: number }) => JSON.stringify(content);
  return {
    list: <K extends RecordKind>(kind: K): RecordRows[K][] =>
      list
        .all(kind)
        .map(({ id, content }) => ({ id, ...JSON.parse(content) }) as unknown as RecordRows[K]),
    insert: <K extends RecordKind>(
      kind: K,
      row: RecordRows[K] | Omit<RecordRows[K], 'id'>,
    ): number => Number(insert.run('id' in row ? row.id : null, kind, textOf(row)).lastInsertRowid),
    update: <K extends RecordKind>(kind: K, row: RecordRows[K]): void => {
      update.run(textOf(row), row.id, kind);
    },
    clear: (): void => {
      db.exec('DELETE FROM land_record');
    },
  };
}
