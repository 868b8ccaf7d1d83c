import { addDays, daysBetween, firstDayIn, lastDayIn, type MonthDay, monthDay } from '../dates.ts';
import type { GrazingSpan } from '../grazing.ts';
import type { Lease } from '../leases.ts';
import type { NoWorkSpan } from '../no-work.ts';
import type { Operation } from '../operation.ts';
import type { PointToProtect } from '../points.ts';
import type { Family } from '../treatments.ts';

/** A year without 29 February: spans of each year are shifted by days in it. */
const plainYear = 2025;

const startOfYear = monthDay('01-01');
const endOfYear = monthDay('12-31');

interface Bars {
  barsFamilies: Family[];
  opens: MonthDay | null;
  closes: MonthDay | null;
}

/** The same for every kind of row; all year where the row names no days. */
function spanOf(
  noun: 'lease' | 'grazing' | 'point',
  row: { id: number; propertyId: number },
  { barsFamilies, opens, closes }: Bars,
  own: Pick<NoWorkSpan, 'name' | 'reason' | 'authority' | 'firmness' | 'asOf'> &
    Partial<NoWorkSpan> & { unitIds?: number[] },
): NoWorkSpan {
  const { unitIds, ...rest } = own;
  return {
    key: `${noun}-${row.id}`,
    madeFrom: { noun, id: row.id },
    state: null,
    propertyId: row.propertyId,
    opens: { at: opens ?? startOfYear },
    closes: { at: closes ?? endOfYear },
    applies: {
      families: barsFamilies,
      treatmentKeys: null,
      unitTags: [],
      stemInchesOver: null,
      speciesGroups: [],
      contractFrom: null,
      contractTo: null,
      ...(unitIds ? { unitIds } : {}),
    },
    status: 'default-to-edit',
    source: '',
    ...rest,
  };
}

const leaseNames: Record<Lease['use'], string> = {
  hunting: 'Hunting lease',
  grazing: 'Grazing lease',
  farming: 'Farming lease',
  other: 'Lease',
};

function leaseSpan(lease: Lease): NoWorkSpan[] {
  if (lease.barsFamilies.length === 0) return [];
  const { unitIds } = lease;
  return [
    spanOf('lease', lease, lease, {
      name: `${leaseNames[lease.use]} of ${lease.holder}`,
      reason: lease.rule.trim() === '' ? 'agreed in the lease' : lease.rule.trim(),
      authority: 'contract',
      firmness: lease.firmness,
      asOf: lease.from.slice(0, 4),
      holdsFrom: lease.from,
      holdsUntil: lease.until,
      ...(unitIds.length > 0 ? { unitIds } : {}),
    }),
  ];
}

/** First day of the rest before a fire; all year when rest and stock leave no day between them. */
function burnBars({ opens, closes, restDaysBeforeFire }: GrazingSpan): Bars {
  const on = firstDayIn(plainYear, opens);
  const sameYear = lastDayIn(plainYear, closes);
  const off = sameYear < on ? lastDayIn(plainYear + 1, closes) : sameYear;
  const isAllYear = daysBetween(on, off) + 1 + restDaysBeforeFire >= 365;
  return {
    barsFamilies: ['burn'],
    opens: isAllYear ? null : monthDay(addDays(on, -restDaysBeforeFire).slice(5)),
    closes: isAllYear ? null : closes,
  };
}

const stockNames: Record<GrazingSpan['stock'], string> = {
  cattle: 'Cattle',
  'other-stock': 'Stock',
  hay: 'Hay',
};

/** Fire waits while stock or hay is on the ground and for the rest before it; an approval says they are off. */
function grazingSpan(span: GrazingSpan): NoWorkSpan {
  const { restDaysBeforeFire: rest, unitIds } = span;
  const stock = stockNames[span.stock];
  const restWords = rest > 0 ? `, and ${rest} days of rest before a fire` : '';
  return spanOf('grazing', span, burnBars(span), {
    name: `${stock} on the ground`,
    reason: `${stock.toLowerCase()} from ${span.opens} to ${span.closes}${restWords}`,
    authority: 'own-rule',
    firmness: 'ask-first',
    asOf: 'the record',
    holdsFrom: span.from === null ? null : addDays(span.from, -rest),
    holdsUntil: span.until,
    unitIds,
  });
}

function pointSpan(point: PointToProtect): NoWorkSpan[] {
  const { unitIds, barsFamilies } = point;
  if (barsFamilies.length === 0 || unitIds.length === 0) return [];
  return [
    spanOf('point', point, point, {
      name: point.name,
      reason: point.rule.trim() === '' ? 'a place to protect' : point.rule.trim(),
      authority: 'own-rule',
      firmness: point.firmness,
      asOf: 'the record',
      unitIds,
    }),
  ];
}

/**
 * No-work dates that follow from leases, grazing and points to protect: keys such as `lease-3`. A lease that names no
 * units holds for the whole property; a point bars work only on the units named. A row that bars no kind of work
 * gives none.
 */
export function landSpans(land: Pick<Operation, 'leases' | 'grazing' | 'points'>): NoWorkSpan[] {
  return [
    ...land.leases.flatMap(leaseSpan),
    ...land.grazing.map(grazingSpan),
    ...land.points.flatMap(pointSpan),
  ];
}

/** True for a key that `landSpans` gives: no row of the reference table may take it. */
export function isLandSpanKey(key: string): boolean {
  return /^(lease|grazing|point)-\d+$/.test(key);
}
