import type { LandContent, Library } from '../../src/core/library.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { FitDayCount } from '../../src/core/weather/history.ts';
import { noWeatherTables } from '../../src/core/weather/tables.ts';
import { openStore, type Store } from '../../src/storage/store.ts';
import { fakeOperation } from '../support/operation.ts';

/** A clock that stands until the test moves it. */
export interface Clock {
  at: string;
  now(): Date;
}

export function clockAt(at: string): Clock {
  const clock: Clock = { at, now: () => new Date(clock.at) };
  return clock;
}

export function contentOf(operation: Operation): LandContent {
  const {
    communities,
    treatments,
    sequences,
    noWork,
    cautions,
    prescriptions,
    lineKinds,
    burnSteps,
    followUps,
    stateRules,
    sheetTables,
    fitDays,
    ...land
  } = operation;
  return land;
}

export function libraryOf(operation: Operation): Library {
  const { communities, treatments, sequences, noWork, cautions, prescriptions, lineKinds } =
    operation;
  const { sheetTables, burnSteps, followUps, stateRules } = operation;
  const fitDayDefaults: Library['fitDayDefaults'] = [
    {
      prescriptionKey: 'hardwood-litter',
      monthly: [4, 4, 6, 4, 1, 0, 0, 0, 1, 4, 5, 4],
      status: 'default-to-edit',
      source: '',
    },
  ];
  return {
    communities,
    treatments,
    sequences,
    noWork,
    cautions,
    prescriptions,
    lineKinds,
    burnSteps,
    followUps,
    stateRules,
    sheetTables,
    fitDayDefaults,
    weatherTables: noWeatherTables,
    yardsticks: [],
  };
}

/** A store in memory that holds the invented operation. */
export function storeWithLand(clock = clockAt('2026-11-09T15:00:00.500Z')): {
  store: Store;
  clock: Clock;
  content: LandContent;
  library: Library;
} {
  const store = openStore(':memory:', clock.now);
  const operation = fakeOperation();
  const content = contentOf(operation);
  store.replaceLand(content);
  return { store, clock, content, library: libraryOf(operation) };
}

/** A count with the same figure in each half-month. */
export function countOf(year: number, each: number, isWholeYear = true): FitDayCount {
  return { year, halfMonths: Array<number>(24).fill(each), unknownHours: 2, isWholeYear };
}
