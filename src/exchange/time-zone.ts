/**
 * Minutes that the standard time of an IANA zone is ahead of UTC (negative in the Americas), without summer time:
 * the lesser of the offsets at the two solstice months. Throws RangeError for an unknown zone.
 */
export function standardOffsetMinutes(timeZone: string): number {
  const format = new Intl.DateTimeFormat('en-US', { timeZone, timeZoneName: 'longOffset' });
  const offsetAt = (month: number) => {
    const parts = format.formatToParts(new Date(Date.UTC(2024, month, 1)));
    const name = parts.find((part) => part.type === 'timeZoneName')?.value ?? '';
    const match = /([+-])(\d{2}):(\d{2})/.exec(name);
    if (!match) return 0;
    return (match[1] === '-' ? -1 : 1) * (Number(match[2]) * 60 + Number(match[3]));
  };
  return Math.min(offsetAt(0), offsetAt(6));
}

/** True for a name of the IANA time zone database, such as America/Chicago. */
export function isTimeZone(name: string): boolean {
  try {
    return new Intl.DateTimeFormat('en-US', { timeZone: name }) !== null;
  } catch {
    return false;
  }
}
