import { fromDay, type IsoDate, toDay, weekday } from './dates.ts';
import type { FitDayUse } from './learning.ts';
import type { Operation } from './operation.ts';
import type { Plan } from './plans.ts';
import type { Property } from './properties.ts';
import { prescriptionKeyOf } from './tasks.ts';

/** A planned burn that waited for its day, while its plan was in force. */
export interface BurnWait {
  prescriptionKey: string;
  from: IsoDate;
  /** Day after the last one that has passed. */
  before: IsoDate;
}

/** Days on which a burn of the property was lit on purpose. */
function litDays(operation: Operation, property: Property): Set<IsoDate> {
  const units = new Set(
    operation.units.filter(({ propertyId }) => propertyId === property.id).map(({ id }) => id),
  );
  const burnKeys = new Set(
    operation.treatments.filter(({ family }) => family === 'burn').map(({ key }) => key),
  );
  const lit = operation.entries.filter(
    (entry) =>
      units.has(entry.unitId) &&
      burnKeys.has(entry.treatmentKey) &&
      entry.fireCause === 'planned' &&
      entry.precision === 'day' &&
      entry.outcome !== 'not-possible',
  );
  return new Set(lit.map(({ doneOn }) => doneOn));
}

/** First day on which each task was answered in the log; what is missing still waits. */
function answeredDays(operation: Operation): Map<string, IsoDate> {
  const days = new Map<string, IsoDate>();
  for (const { taskKey, outcome, doneOn } of operation.entries) {
    if (taskKey === null || outcome === 'under-way') continue;
    const known = days.get(taskKey);
    if (!known || doneOn < known) days.set(taskKey, doneOn);
  }
  return days;
}

const earlier = (a: IsoDate, b: IsoDate) => (a < b ? a : b);
const later = (a: IsoDate, b: IsoDate) => (a > b ? a : b);
const dayAfter = (day: IsoDate) => fromDay(toDay(day) + 1);

/**
 * Spans in which burns of the property waited for a fit day, up to yesterday. `adopted`: every plan that was in force, oldest
 * first; each counts from its adoption to the next one's.
 */
export function burnWaits(
  operation: Operation,
  property: Property,
  adopted: readonly Plan[],
  today: IsoDate,
): BurnWait[] {
  const fromOf = ({ adoptedAt, content }: Plan) =>
    (adoptedAt?.slice(0, 10) as IsoDate | undefined) ?? content.madeOn;
  const answered = answeredDays(operation);
  return adopted.flatMap((plan, at) => {
    const next = adopted[at + 1];
    const ends = next ? fromOf(next) : today;
    return plan.content.tasks
      .filter(({ family, propertyId }) => family === 'burn' && propertyId === property.id)
      .flatMap((task): BurnWait[] => {
        const prescriptionKey = prescriptionKeyOf(operation, task);
        const done = answered.get(task.key);
        const last = done ? earlier(task.lastDay, done) : task.lastDay;
        const from = later(task.startsOn, fromOf(plan));
        const before = earlier(earlier(dayAfter(last), ends), today);
        return prescriptionKey !== null && from < before ? [{ prescriptionKey, from, before }] : [];
      });
  });
}

/**
 * Fit days on which a burn waited, and whether one was lit. `isFit` judges a day by its weather (null = not known): then a day
 * counts when it was lit or noted. Days off of everybody who burns do not count: the share of weekdays worked is told apart.
 */
export function fitDayUses(
  operation: Operation,
  property: Property,
  waits: readonly BurnWait[],
  notes: readonly { blockId: number; day: IsoDate; reason: string }[],
  isFit: (prescriptionKey: string, day: IsoDate) => boolean | null,
): FitDayUse[] {
  const lit = litDays(operation, property);
  const blocks = new Set(
    operation.blocks.filter(({ propertyId }) => propertyId === property.id).map(({ id }) => id),
  );
  const workdays = new Set(
    operation.crews.filter(({ skills }) => skills.includes('fire')).flatMap((one) => one.workdays),
  );
  const noted = notes.filter(({ blockId }) => blocks.has(blockId));
  const reasonOn = new Map(noted.map(({ day, reason }) => [day, reason]));
  const found = new Map<IsoDate, FitDayUse>();
  const add = (day: IsoDate) =>
    found.set(day, { day, isLit: lit.has(day), reason: reasonOn.get(day) ?? '' });
  for (const { day } of noted) add(day);
  for (const { prescriptionKey, from, before } of waits)
    for (let at = toDay(from); at < toDay(before); at++) {
      const day = fromDay(at);
      if (found.has(day) || !workdays.has(weekday(day))) continue;
      if (isFit(prescriptionKey, day) ?? lit.has(day)) add(day);
    }
  return [...found.values()].sort((a, b) => (a.day < b.day ? -1 : 1));
}
