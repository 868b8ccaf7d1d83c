/** Minutes that a zone is ahead of UTC at an instant in milliseconds. */
function offsetReader(timeZone: string): (at: number) => number {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
  });
  return (at) => {
    const parts = format.formatToParts(at);
    const part = (type: string) => Number(parts.find((one) => one.type === type)?.value);
    const local = Date.UTC(
      part('year'),
      part('month') - 1,
      part('day'),
      part('hour'),
      part('minute'),
    );
    return Math.round((local - at) / 60_000);
  };
}

/**
 * From local clock time, given as if it were UTC in milliseconds, to the instants it stands for: none in the hour that
 * the clock skips, two in the hour that it goes through twice. Throws RangeError for an unknown zone.
 */
export function localClock(timeZone: string): (localMs: number) => number[] {
  const offsetAt = offsetReader(timeZone);
  const day = 86_400_000;
  const kept = new Map<number, number>();
  const offsetOfDay = (index: number): number => {
    const known = kept.get(index) ?? offsetAt(index * day);
    kept.set(index, known);
    return known;
  };
  return (localMs) => {
    const index = Math.floor(localMs / day);
    // Offsets before and after any change that can touch this local time.
    const [before, after] = [offsetOfDay(index - 1), offsetOfDay(index + 2)];
    if (before === after) return [localMs - before * 60_000];
    return [...new Set([before, after])]
      .map((minutes) => ({ minutes, at: localMs - minutes * 60_000 }))
      .filter(({ minutes, at }) => offsetAt(at) === minutes)
      .map(({ at }) => at)
      .sort((a, b) => a - b);
  };
}
