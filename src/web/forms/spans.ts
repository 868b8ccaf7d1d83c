import { addDays, type DateRange, lastDayOf, parseIsoDate } from '../../core/dates.ts';
import type { Problem } from '../../core/problems.ts';

const spanLine = /^(\d{4}-\d{2}-\d{2})(?:\s+to\s+(\d{4}-\d{2}-\d{2}))?$/;

/** Spans as people write them, one a line: "2026-12-24 to 2027-01-03", both days inclusive. */
export function spansText(ranges: readonly DateRange[]): string {
  return ranges
    .map((range) =>
      lastDayOf(range) === range.startsOn
        ? range.startsOn
        : `${range.startsOn} to ${lastDayOf(range)}`,
    )
    .join('\n');
}

/** The spans in a text, one a line; a problem names the first line that cannot be read. */
export function parseSpans(
  text: string,
  field: string,
  label: string,
): { ranges: DateRange[]; problems: Problem[] } {
  const ranges: DateRange[] = [];
  for (const [at, line] of text.split(/\r?\n/).entries()) {
    if (line.trim() === '') continue;
    const match = spanLine.exec(line.trim());
    const startsOn = parseIsoDate(match?.[1] ?? '');
    const lastDay = parseIsoDate(match?.[2] ?? match?.[1] ?? '');
    if (!startsOn || !lastDay || lastDay < startsOn) {
      const message = `${label}, line ${at + 1}: write first and last day as 2026-12-24 to 2027-01-03.`;
      return { ranges: [], problems: [{ code: 'span', field, message, line: at + 1 }] };
    }
    ranges.push({ startsOn, endsBefore: addDays(lastDay, 1) });
  }
  return { ranges, problems: [] };
}
