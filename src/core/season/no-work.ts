import { addDays, type DateRange, type IsoDate, intersect, subtract, union } from '../dates.ts';
import type { Approval, NoWorkSpan } from '../no-work.ts';
import type { Operation } from '../operation.ts';
import type { Property } from '../properties.ts';
import { type Anchors, windowOpenings } from '../seasons.ts';
import type { Treatment } from '../treatments.ts';
import type { Unit } from '../units.ts';

/** The work and place that a no-work rule is asked about. */
export interface NoWorkCase {
  property: Pick<Property, 'id' | 'state'>;
  unit: Pick<Unit, 'id' | 'tags'>;
  treatment: Pick<Treatment, 'key' | 'family' | 'stemInchesMost' | 'speciesGroups'>;
  /** Day the unit's contract was signed; not known = every rule for contracts applies. */
  contractOn?: IsoDate | null;
}

/**
 * True when the rule bars this work on this unit, whatever the dates: state or property, family or treatment, unit
 * numbers and tags, stems, species group and contract date must all fit. A rule with neither state nor property holds everywhere;
 * one with neither families nor treatments bars all work.
 */
export function noWorkThatApplies(span: NoWorkSpan, about: NoWorkCase): boolean {
  const { applies } = span;
  const { property, unit, treatment } = about;
  if (span.propertyId !== null && span.propertyId !== property.id) return false;
  if (span.state !== null && span.state !== property.state) return false;
  const isAllWork = applies.families === null && applies.treatmentKeys === null;
  const isNamedWork =
    (applies.families?.includes(treatment.family) ?? false) ||
    (applies.treatmentKeys?.includes(treatment.key) ?? false);
  if (!isAllWork && !isNamedWork) return false;
  if (applies.unitIds && !applies.unitIds.includes(unit.id)) return false;
  if (!applies.unitTags.every((tag) => unit.tags.includes(tag))) return false;
  if (
    applies.stemInchesOver !== null &&
    (treatment.stemInchesMost === null || treatment.stemInchesMost <= applies.stemInchesOver)
  )
    return false;
  if (
    applies.speciesGroups.length > 0 &&
    !applies.speciesGroups.some((group) => treatment.speciesGroups.includes(group))
  )
    return false;
  return isContractMeant(span, about.contractOn ?? null);
}

function isContractMeant(span: NoWorkSpan, contractOn: IsoDate | null): boolean {
  const { contractFrom, contractTo } = span.applies;
  if (contractOn === null) return true;
  return (!contractFrom || contractOn >= contractFrom) && (!contractTo || contractOn <= contractTo);
}

/** Openings of the rule that touch `range`, in order: whole, but cut to the days for which the rule holds. */
export function noWorkOpenings(span: NoWorkSpan, range: DateRange, anchors: Anchors): DateRange[] {
  const { holdsFrom, holdsUntil } = span;
  return windowOpenings(span, range, anchors).flatMap(({ startsOn, endsBefore }) => {
    const first = holdsFrom && holdsFrom > startsOn ? holdsFrom : startsOn;
    const after = holdsUntil ? addDays(holdsUntil, 1) : endsBefore;
    const held = { startsOn: first, endsBefore: after < endsBefore ? after : endsBefore };
    return held.startsOn < held.endsBefore && intersect(held, range) ? [held] : [];
  });
}

/** The rule's dates inside `range`, cut to it, in order. */
export function barredRanges(span: NoWorkSpan, range: DateRange, anchors: Anchors): DateRange[] {
  return noWorkOpenings(span, range, anchors).flatMap((opening) => intersect(opening, range) ?? []);
}

export interface BarredRange {
  range: DateRange;
  span: NoWorkSpan;
}

/** When a treatment may be done on a unit, and what bars it when not. */
export interface OpenRanges {
  /** Seasonal windows less everything that bars. */
  open: DateRange[];
  /** Hard rules. */
  barred: BarredRange[];
  /** Rules that an approval would lift and that none lifts yet: they bar planning too. */
  askFirst: BarredRange[];
}

function notApproved(
  span: NoWorkSpan,
  ranges: DateRange[],
  unitId: number,
  approvals: readonly Approval[],
): DateRange[] {
  if (span.firmness === 'hard') return ranges;
  const lifted = approvals
    .filter((row) => row.noWorkKey === span.key && row.unitId === unitId)
    .map((row) => ({ startsOn: row.from, endsBefore: addDays(row.until, 1) }));
  return subtract(ranges, lifted);
}

/** Open days of a treatment on a unit inside `range`: its windows minus the no-work dates that apply and are not lifted. */
export function openRanges(
  treatment: Treatment,
  unit: Unit,
  property: Property,
  rules: Pick<Operation, 'noWork' | 'approvals'>,
  range: DateRange,
  contractOn: IsoDate | null = null,
): OpenRanges {
  const about: NoWorkCase = { property, unit, treatment, contractOn };
  const bars = rules.noWork
    .filter((span) => noWorkThatApplies(span, about))
    .flatMap((span) => {
      const dates = barredRanges(span, range, property.anchors);
      const left = notApproved(span, dates, unit.id, rules.approvals);
      return left.map((part): BarredRange => ({ range: part, span }));
    })
    .sort((a, b) => (a.range.startsOn < b.range.startsOn ? -1 : 1));
  const windows = treatment.windows
    .flatMap((window) => windowOpenings(window, range, property.anchors))
    .flatMap((opening) => intersect(opening, range) ?? []);
  return {
    open: subtract(
      union(windows),
      bars.map((bar) => bar.range),
    ),
    barred: bars.filter((bar) => bar.span.firmness === 'hard'),
    askFirst: bars.filter((bar) => bar.span.firmness === 'ask-first'),
  };
}
