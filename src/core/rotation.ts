import { addYears, type IsoDate } from './dates.ts';

/** Repeat of fire. `leastSeasons` counts burning seasons, the others are years from the last fire that counts. */
export interface BurnRotation {
  phase: 'restoration' | 'maintenance';
  leastSeasons: number;
  targetYears: number;
  mostYears: number;
}

/** Share of the unit that must have gone black for a fire to count. SEMANTICS-decided default, editable. */
export const shareBlackPercentLeastDefault = 60;

export type FireStatus =
  | { kind: 'no-fire-on-record' }
  | { kind: 'held'; untilYear: number; reason: string; lastFireOn: IsoDate | null }
  | { kind: 'not-planned'; lastFireOn: IsoDate | null }
  | {
      kind: 'within' | 'overdue';
      lastFireOn: IsoDate;
      yearsSince: number;
      yearsOver: number;
      overdueOn: IsoDate;
    };

/** First day on which a block is overdue for fire: the day after the last fire that counts plus the most interval. */
export function overdueAfter(lastFireOn: IsoDate, mostYears: number): IsoDate {
  return addYears(lastFireOn, mostYears);
}
