import {
  addDays,
  addYears,
  type DateRange,
  dateWords,
  type IsoDate,
  intersect,
  lastDayOf,
  monthOf,
} from '../dates.ts';
import type { Approval, NoWorkSpan } from '../no-work.ts';
import type { Operation } from '../operation.ts';
import type { Property } from '../properties.ts';
import { burningSeasonStart, windowOpenings } from '../seasons.ts';
import type { Treatment } from '../treatments.ts';
import type { Unit } from '../units.ts';
import { barredRanges, noWorkThatApplies, type OpenRanges, openRanges } from './no-work.ts';

/** Days of an ask-first rule that an approval on file opens. */
export interface LiftedRange {
  range: DateRange;
  span: NoWorkSpan;
  approval: Approval;
}

/** A treatment on a unit over twelve months: when its season is open, and what bars or lifts. */
export interface OpenYear extends OpenRanges {
  /** The seasonal windows, before anything bars. */
  windows: DateRange[];
  lifted: LiftedRange[];
  /** Each rule that has days in these months, once, in the order of its first day. */
  rules: NoWorkSpan[];
}

/** The twelve months from the start of the burning season that holds `today`. */
export function yearOfSeason(today: IsoDate, startsAt: Property['burningSeasonStart']): DateRange {
  const startsOn = burningSeasonStart(today, startsAt);
  return { startsOn, endsBefore: addYears(startsOn, 1) };
}

function liftedIn(
  treatment: Treatment,
  unit: Unit,
  property: Property,
  rules: Pick<Operation, 'noWork' | 'approvals'>,
  range: DateRange,
): LiftedRange[] {
  const asked = rules.noWork.filter(
    (span) =>
      span.firmness === 'ask-first' && noWorkThatApplies(span, { property, unit, treatment }),
  );
  return asked.flatMap((span) =>
    rules.approvals
      .filter((row) => row.noWorkKey === span.key && row.unitId === unit.id)
      .flatMap((approval) => {
        const lifts = { startsOn: approval.from, endsBefore: addDays(approval.until, 1) };
        return barredRanges(span, range, property.anchors).flatMap((dates): LiftedRange[] => {
          const both = intersect(dates, lifts);
          return both ? [{ range: both, span, approval }] : [];
        });
      }),
  );
}

/** What a year holds for a treatment on a unit; `range` is of twelve months or less, so that a day names itself. */
export function openYear(
  treatment: Treatment,
  unit: Unit,
  property: Property,
  rules: Pick<Operation, 'noWork' | 'approvals'>,
  range: DateRange,
): OpenYear {
  const ranges = openRanges(treatment, unit, property, rules, range);
  const lifted = liftedIn(treatment, unit, property, rules, range);
  const met = [...ranges.barred, ...ranges.askFirst, ...lifted].toSorted((a, b) =>
    a.range.startsOn < b.range.startsOn ? -1 : 1,
  );
  return {
    ...ranges,
    lifted,
    windows: treatment.windows
      .flatMap((window) => windowOpenings(window, range, property.anchors))
      .flatMap((opening) => intersect(opening, range) ?? []),
    rules: [...new Set(met.map(({ span }) => span))],
  };
}

const dayMonth = (date: IsoDate) => dateWords(date).split(' ').slice(0, 2).join(' ');

/** "15 Mar to 30 Jun", "1 to 30 May", "4 Mar": days of one year, without its number. */
export function dayRangeWords(range: DateRange): string {
  const last = lastDayOf(range);
  if (last === range.startsOn) return dayMonth(last);
  const isOneMonth =
    monthOf(last) === monthOf(range.startsOn) && last.slice(0, 4) === range.startsOn.slice(0, 4);
  return `${isOneMonth ? Number(range.startsOn.slice(8)) : dayMonth(range.startsOn)} to ${dayMonth(last)}`;
}

const listOf = (ranges: readonly DateRange[]) => {
  const parts = ranges.map(dayRangeWords);
  return parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
};

const authorityWords: Record<NoWorkSpan['authority'], string> = {
  law: 'law',
  contract: 'contract',
  owner: 'owner',
  'own-rule': 'own rule',
};

/** Ranges by rule, in the order given; a rule that bars twice in a year is named once. */
function byRule<T extends { range: DateRange; span: NoWorkSpan }>(bars: readonly T[]): T[][] {
  const groups = new Map<NoWorkSpan, T[]>();
  for (const bar of bars) groups.set(bar.span, [...(groups.get(bar.span) ?? []), bar]);
  return [...groups.values()];
}

const rangesOf = (bars: readonly { range: DateRange }[]) => bars.map(({ range }) => range);

/** "Open 1 Nov to 14 Mar", or why it is open on no day. */
export function openSpanWords({ open, windows }: Pick<OpenYear, 'open' | 'windows'>): string {
  const [only] = open;
  if (only && addYears(only.startsOn, 1) === only.endsBefore) return 'Open all year';
  if (only) return `Open ${listOf(open)}`;
  return windows.length === 0
    ? 'No season of this work opens in these months'
    : 'Open on no day: no-work dates bar its whole season';
}

/**
 * "Open 1 Nov to 14 Mar; barred 15 Mar to 30 Jun by Oak wilt (law); ask first 1 May to 15 Jul: Turkey lease
 * (contract); lifted 1 to 30 May: Turkey lease, granted by the holder."
 */
export function openYearSentence(year: OpenYear): string {
  const nameOf = ({ name, authority }: NoWorkSpan) => `${name} (${authorityWords[authority]})`;
  const first = <T>(bars: readonly T[]) => bars[0] as T;
  return `${[
    openSpanWords(year),
    ...byRule(year.barred).map(
      (bars) => `barred ${listOf(rangesOf(bars))} by ${nameOf(first(bars).span)}`,
    ),
    ...byRule(year.askFirst).map(
      (bars) => `ask first ${listOf(rangesOf(bars))}: ${nameOf(first(bars).span)}`,
    ),
    ...year.lifted.map(
      ({ range, span, approval }) =>
        `lifted ${dayRangeWords(range)}: ${span.name}, granted by ${approval.grantedBy}`,
    ),
  ].join('; ')}.`;
}
