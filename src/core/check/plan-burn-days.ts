import type { Operation } from '../operation.ts';
import type { TaskView } from './plan-view.ts';

/** Set-up and securing of a burn day, and the backing fire before the first strip, hours: common practice, no source. */
const hoursAround = 1.5 + 1;
const backingHours = 0.5;
/** Two lighters a chain apart at a mile an hour, 80 chains: common practice, no source. */
const acresAnHourUnlogged = (2 * 1 * 80) / 10;

/** Acres an hour that burns of a property were lit at, from the log where it notes acres and person-hours. */
function acresAnHour(operation: Operation, propertyId: number): number {
  const sum = { acres: 0, hours: 0 };
  for (const entry of operation.entries) {
    const unit = operation.units.find(({ id }) => id === entry.unitId);
    const block = operation.blocks.find(({ id }) => id === unit?.blockId);
    const family = operation.treatments.find(({ key }) => key === entry.treatmentKey)?.family;
    const { areaAcres, personHours } = entry;
    if (family !== 'burn' || entry.outcome !== 'done' || block?.propertyId !== propertyId) continue;
    if (areaAcres === null || personHours === null || block.burnPeopleLeast === 0) continue;
    sum.acres += areaAcres;
    sum.hours += Math.max(0.5, personHours / block.burnPeopleLeast - hoursAround);
  }
  return sum.acres > 0 ? sum.acres / sum.hours : acresAnHourUnlogged;
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
