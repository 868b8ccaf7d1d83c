import type { Block } from './blocks.ts';
import { type ChainStep, sequenceOf, treatmentOf } from './chains.ts';
import type { IsoDate } from './dates.ts';
import { earliestAfter, lagCalendarOf, lagRule, lagWords, useByOf } from './lags.ts';
import type { Operation } from './operation.ts';
import { rotationOf } from './rotation.ts';

/** Felled fuel that dries for a burn that is still to be done. */
export interface RunningCure {
  block: Block;
  /** Null = all units of the block were felled as one job. */
  unitId: number | null;
  felledOn: IsoDate;
  /** First day on which the calendar rule lets the burn be. */
  readyOn: IsoDate;
  /** The calendar rule in words. */
  leastWords: string;
  /** Last day of the last burn season in which the fuel is still worth a burn. */
  useByOn: IsoDate;
  burnKey: string;
  /** Day of the field check in the work log; null = none yet. */
  checkedOn: IsoDate | null;
  /** The field check was tried and could not be passed. */
  isCheckFailed: boolean;
}

const checkTreatmentKey = 'cure-check';

/** Cures of a block that run now, in order of its chain: felling is done, and the burn that waits for it is not. */
export function runningCures(
  operation: Operation,
  block: Block,
  chain: readonly ChainStep[],
): RunningCure[] {
  const sequence = sequenceOf(operation, block);
  const property = operation.properties.find((one) => one.id === block.propertyId);
  if (!sequence || !property) return [];
  const calendar = lagCalendarOf(property);
  const familyOf = (step: ChainStep) => treatmentOf(operation, step.treatmentKeys[0] ?? '').family;
  const isOpenBurn = (step: ChainStep) =>
    step.standing !== 'done' && step.standing !== 'skipped' && familyOf(step) === 'burn';
  return chain.filter(isOpenBurn).flatMap((burn) => {
    const lags = sequence.steps.find((step) => step.key === burn.stepKey)?.lags ?? [];
    const check = chain.find(
      (step) => step.cycle === burn.cycle && step.treatmentKeys[0] === checkTreatmentKey,
    );
    const windows = burn.treatmentKeys.flatMap((key) => treatmentOf(operation, key).windows);
    return lags.flatMap((lag): RunningCure[] => {
      const { least, most } = lagRule(lag, rotationOf(operation, block));
      if (lag.cycle !== 'same' || !most) return [];
      const felled = chain.filter(
        (step) =>
          step.stepKey === lag.afterStepKey &&
          step.cycle === burn.cycle &&
          step.standing === 'done' &&
          familyOf(step) === 'cut',
      );
      return felled.flatMap(({ unitId, doneOn }) =>
        doneOn === null
          ? []
          : [
              {
                block,
                unitId,
                felledOn: doneOn,
                readyOn: earliestAfter(least, doneOn, calendar),
                leastWords: lagWords(least),
                useByOn: useByOf(most, doneOn, calendar, windows),
                burnKey: burn.key,
                checkedOn: check?.standing === 'done' ? check.doneOn : null,
                isCheckFailed: check?.standing === 'not-possible',
              },
            ],
      );
    });
  });
}
