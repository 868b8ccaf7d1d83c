import { type IsoDate, toDay } from './dates.ts';

/** A backup by the UTC time it was made: `date` and `time` (`HHMMSS`). */
export interface BackupTime {
  date: IsoDate;
  time: string;
}

/** How many days, weeks and months keep their newest backup. */
export const backupsKept = { days: 7, weeks: 4, months: 12 } as const;

// Day 0 of the count (1970-01-01) was a Thursday; weeks begin on Monday (ISO 8601).
const weekOf = (date: IsoDate): number => Math.floor((toDay(date) + 3) / 7);

/**
 * The backups to keep, newest first: the newest of each of the 7 latest days, 4 latest weeks and 12 latest
 * months that have one. Spans without a backup do not count, so a machine that stood still loses nothing.
 */
export function backupsToKeep<T extends BackupTime>(backups: readonly T[]): T[] {
  const key = ({ date, time }: T) => `${date} ${time}`;
  const newestFirst = [...backups].sort((a, b) => (key(a) < key(b) ? 1 : key(a) > key(b) ? -1 : 0));
  const kept = new Set<T>();
  const keepNewest = (count: number, spanOf: (backup: T) => string | number): void => {
    const seen = new Set<string | number>();
    for (const backup of newestFirst) {
      const span = spanOf(backup);
      if (seen.has(span)) continue;
      if (seen.size === count) return;
      seen.add(span);
      kept.add(backup);
    }
  };
  keepNewest(backupsKept.days, ({ date }) => date);
  keepNewest(backupsKept.weeks, ({ date }) => weekOf(date));
  keepNewest(backupsKept.months, ({ date }) => date.slice(0, 7));
  return newestFirst.filter((backup) => kept.has(backup));
}
