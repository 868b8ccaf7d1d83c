import { weightsDefault } from '../core/costs.ts';
import { type IsoDate, monthDay, yearOf } from '../core/dates.ts';
import type { LandContent } from '../core/library.ts';
import type { Operation } from '../core/operation.ts';
import type { Problem } from '../core/problems.ts';
import { holidaysBetween } from '../core/recurrence.ts';
import { shareBlackPercentLeastDefault } from '../core/rotation.ts';
import { sampleLand } from '../core/sample/land.ts';
import { usualAnchors } from '../core/season/anchor-defaults.ts';
import { supplySettingsDefault } from '../core/weather/supply.ts';
import { NotKept } from '../storage/backup.ts';
import type { Deps, NewProperty } from '../web/deps.ts';
import { importUnits } from './land-import.ts';
import type { OperationFile } from './operation-file.ts';
import { tryChange } from './trial.ts';
import { loadSampleWeather } from './weather-import.ts';
import { leavesPlan } from './web-records.ts';

/** An operation of one property without units, with a small home crew to edit. */
function emptyLand(property: NewProperty, operation: Operation, today: IsoDate): LandContent {
  const gearKeys = [...new Set(operation.treatments.flatMap((treatment) => treatment.gear))];
  const skills = [...new Set(operation.treatments.flatMap((treatment) => treatment.skills))];
  const { landownerName, ...place } = property;
  return {
    landowners: [{ id: 1, name: landownerName, contact: '' }],
    properties: [
      {
        ...place,
        id: 1,
        landownerId: 1,
        burningSeasonStart: monthDay('07-01'),
        growingSeasonEnd: monthDay('10-01'),
        anchors: usualAnchors(property.latitude),
        neighbourRule: 'no-matter',
        isSample: false,
      },
    ],
    units: [],
    blocks: [],
    lines: [],
    neighbours: [],
    points: [],
    mapLayers: [],
    tileServices: [],
    leases: [],
    grazing: [],
    consents: [],
    planElements: [],
    contracts: [],
    ownRates: [],
    people: [],
    bookings: [],
    visits: [],
    photoPoints: [],
    ownerLetters: [],
    crews: [
      {
        id: 1,
        name: 'Home crew',
        kind: 'home',
        peopleCount: 2,
        skills,
        workdays: [1, 2, 3, 4, 5],
        daysOff: [],
        onSpans: null,
        costPerDayUsd: 0,
        spreadDaysPerWeek: 3,
      },
      {
        id: 2,
        name: 'Burn help',
        kind: 'help',
        peopleCount: 4,
        skills: ['fire'],
        workdays: [1, 2, 3, 4, 5],
        daysOff: [],
        onSpans: null,
        costPerDayUsd: 0,
        spreadDaysPerWeek: 3,
      },
    ],
    gear: gearKeys.map((key) => ({ key, name: key.replaceAll('-', ' '), count: 1, daysOff: [] })),
    holidays: holidaysBetween(yearOf(today), yearOf(today) + 5),
    entries: [],
    approvals: [],
    heldDates: [],
    papers: [],
    settings: {
      supply: supplySettingsDefault,
      weights: weightsDefault,
      seasonsAfter: 2,
      shareBlackPercentLeast: shareBlackPercentLeastDefault,
    },
  };
}

const asBreak = ({ message, ...rest }: Problem): Problem => ({
  ...rest,
  code: 'breaks-plan',
  message: `Planned work would break a rule: ${message}`,
});

/** A change with its breaks of the plan in force as problems. */
function checkedChange(file: OperationFile, isSure: boolean, change: () => Problem[]): Problem[] {
  if (!isSure) {
    const operation = file.operation();
    const { value, breaks, vanishing } = tryChange(file, change);
    const problems = [...vanishing.map((task) => leavesPlan(operation, task)), ...breaks];
    if (value.length === 0 && problems.length > 0) return problems.map(asBreak);
  }
  return change();
}

/** Takes a transaction back that found a problem. */
class Refused extends Error {}

/** Sets anchors of a property in one transaction; at the first problem none of them is set. */
function setAnchors(
  { store }: OperationFile,
  propertyId: number,
  changes: Parameters<Deps['land']['setAnchors']>[1],
): Problem[] {
  let problems: Problem[] = [];
  const set = () => {
    for (const { anchor, value } of changes) {
      problems =
        'usual' in value
          ? store.setAnchorUsual(propertyId, anchor, value.usual)
          : store.setAnchorYear(propertyId, anchor, value);
      if (problems.length > 0) throw new Refused();
    }
  };
  try {
    store.inOneTransaction(set);
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
  }
  return problems;
}

/** Other land in the place of all that is there, which is copied before. */
function replaceAll(file: OperationFile, land: LandContent, andThen?: () => void): Problem[] {
  try {
    const where = file.keepCopy();
    return file.allOrNone(() => {
      file.store.replaceLand(land, where, andThen);
      return [];
    });
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    return [{ code: 'not-kept', message: `Nothing was replaced. ${error.message}` }];
  }
}

/** Changes of land, people and rules. `planSample` makes and adopts a plan of freshly loaded sample land. */
export function webLand(file: OperationFile, planSample: () => void): Deps['land'] {
  const { store, library } = file;
  return {
    updateUnit: (unitId, change, isSure = false) =>
      checkedChange(file, isSure, () => store.updateUnit(unitId, change, library)),
    updateBlock: (blockId, change, isSure = false) =>
      checkedChange(file, isSure, () => store.updateBlock(blockId, change, library)),
    setAnchors: (propertyId, changes, isSure = false) =>
      checkedChange(file, isSure, () => setAnchors(file, propertyId, changes)),
    updateCrew: (crewId, change, isSure = false) =>
      checkedChange(file, isSure, () => store.updateCrew(crewId, change)),
    setFitDays: store.setFitDays,
    updateSettings: store.saveSettings,
    holdDates: store.holdDates,
    startOwn: (property) => {
      const land = emptyLand(property, file.operation(), file.today(property.timeZone));
      const problems = replaceAll(file, land);
      return problems.length > 0 ? { ok: false, problems } : { ok: true, value: 1 };
    },
    loadSample: () => {
      const today = file.today('America/Chicago');
      const weather = () => loadSampleWeather(file, today);
      const problems = replaceAll(file, sampleLand(today), weather);
      if (problems.length > 0) return problems;
      planSample();
      return [];
    },
    importUnits: (propertyId, fileName, text, isSure = false) => {
      const take = () => importUnits(file, propertyId, fileName, text);
      const { breaks, value } = isSure ? { breaks: [], value: null } : tryChange(file, take);
      if (value?.problemCount === 0 && breaks.length > 0) {
        const problems = breaks.map(asBreak);
        return { imported: 0, problems, problemCount: problems.length };
      }
      const { added, updated, problems, problemCount } = take();
      return { imported: added + updated, problems, problemCount };
    },
  };
}
