import type { Operation } from '../operation.ts';
import type { TaskView } from './plan-view.ts';

/** The backing fire before the first strip, hours: common practice, no source. */
const backingHours = 0.5;
/** Two lighters a chain apart at a mile an hour, 80 chains: common practice, no source. */
const acresAnHourUnlogged = (2 * 1 * 80) / 10;

/** Acres an hour that burns of a property are lit at: the newest rate that was accepted for it, if any. */
function acresAnHour(operation: Operation, propertyId: number): number {
  const accepted = operation.ownRates.filter(
    (row) => row.per === 'lighting-hour' && row.propertyId === propertyId,
  );
  return accepted.at(-1)?.amount ?? acresAnHourUnlogged;
}

/** Fit days that a burn takes: its lighting hours over the hours of the day that its prescription allows. */
export function fitDaysTaken(operation: Operation, burn: TaskView): number {
  const key = burn.treatment.prescriptionKey ?? burn.block.prescriptionKey;
  const prescription = operation.prescriptions.find((row) => row.key === key);
  if (!prescription) return 1;
  const rate = acresAnHour(operation, burn.property.id);
  const hours = backingHours + burn.task.areaAcres / rate;
  const hoursADay = prescription.toHour + 1 - prescription.fromHour;
  return Math.max(1, Math.ceil(hours / hoursADay - 1e-9));
}
