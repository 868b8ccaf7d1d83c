import type { Block } from '../core/blocks.ts';
import { checkBooking } from '../core/bookings.ts';
import { checkConsent } from '../core/consents.ts';
import { type CostShareContract, checkContract, contractName } from '../core/contracts.ts';
import { checkGrazing } from '../core/grazing.ts';
import { checkLease } from '../core/leases.ts';
import type { Library } from '../core/library.ts';
import { checkMapLayer } from '../core/map-layers.ts';
import { checkTileService } from '../core/map-tiles.ts';
import { checkOwnRate, type OwnRate } from '../core/own-rates.ts';
import { checkPerson } from '../core/people.ts';
import { checkPlanElement } from '../core/plan-elements.ts';
import { checkPoint } from '../core/points.ts';
import type { Problem } from '../core/problems.ts';
import type { LandRows, RowId } from '../core/records.ts';
import { approvalId } from '../core/retired.ts';
import type { Unit } from '../core/units.ts';
import { checkPhotoPoint, checkVisit, type OwnerLetter, type Visit } from '../core/visits.ts';
import type { ChangeKind } from './changes.ts';
import { checkCrew, checkGear, checkHoliday } from './crews.ts';
import type { Repositories } from './land.ts';
import { insertUnit } from './land-import.ts';
import { checkLine } from './lines.ts';
import { checkApproval } from './no-work.ts';
import { checkLandowner, checkProperty } from './properties.ts';
import type { RecordKind } from './records.ts';
import { blockAfter, checkChangedBlock, checkChangedUnit } from './unit-changes.ts';
import { checkStation } from './weather.ts';

/** How the rows of one noun are found, checked and stored. `before` is null for a new row. */
export interface RowKeeper<R> {
  /** Null where planning does not hang on the rows. */
  changeKind: ChangeKind | null;
  find(id: RowId): R | null;
  idOf(row: R): RowId;
  name(row: R): string;
  problems(row: R, before: R | null): Problem[];
  /** Gives the number, key or name of the stored row. */
  insert(row: R): RowId;
  update(row: R): void;
}

export type RowKeepers = { [N in keyof LandRows]: RowKeeper<LandRows[N]> };

const byId =
  <R extends { id: number }>(list: () => R[]) =>
  (id: RowId): R | null =>
    list().find((row) => row.id === id) ?? null;

/** A new row gets its number from the database. */
function withoutId<R extends { id: number }>({ id: _, ...row }: R): Omit<R, 'id'> {
  return row;
}

function pickProblem(noun: string, field: string, label: string): Problem {
  return { code: `${noun}-${field}`, field, message: `${label}: pick one from the list.` };
}

function takenProblem(noun: string, field: string, label: string, key: string): Problem {
  const message = `${label}: ${key} is there already, maybe out of use; change that one, or give another.`;
  return { code: `${noun}-taken`, field, ref: key, message };
}

/** Rows of one property: the property stays as it was, and the units named are units of it. */
function placeProblems(
  all: Repositories,
  noun: string,
  row: { propertyId: number; unitIds?: number[] },
  before: { propertyId: number; unitIds?: number[] } | null,
): Problem[] {
  const isKnown = all.properties.find(row.propertyId) !== null;
  if (!isKnown || (before && before.propertyId !== row.propertyId))
    return [pickProblem(noun, 'propertyId', 'Property')];
  const units = row.unitIds ?? [];
  const isOfProperty = (id: number) =>
    before?.unitIds?.includes(id) || all.units.find(id)?.propertyId === row.propertyId;
  const isWrong = !units.every(isOfProperty) || new Set(units).size !== units.length;
  const message = 'Units: pick units of this property, each once.';
  return isWrong ? [{ code: `${noun}-unitIds`, field: 'unitIds', message }] : [];
}

function blockProblems(all: Repositories, row: Block, before: Block | null, library: Library) {
  const nothingYet = { ...row, sequenceKey: null, prescriptionKey: null };
  return [
    ...placeProblems(all, 'block', row, before),
    ...checkChangedBlock(all, before ?? nothingYet, row, library),
  ];
}

function unitProblems(
  all: Repositories,
  row: Unit,
  before: Unit | null,
  library: Library,
): Problem[] {
  const problems = [
    ...placeProblems(all, 'unit', { propertyId: row.propertyId }, before),
    ...checkChangedUnit(all, before, row, library),
  ];
  const isOwnBlock = before ? row.blockId === before.blockId : row.blockId === 0;
  if (isOwnBlock) return problems;
  const block = all.blocks.find(row.blockId);
  if (block?.propertyId !== row.propertyId || all.retired.has('block', row.blockId)) {
    const message = 'Block: pick a block in use of the same property.';
    problems.push({ code: 'unit-blockId', field: 'blockId', message });
  }
  return problems;
}

/** A unit without a block gets one of its own, with the prescription of its natural community. */
function insertNewUnit(all: Repositories, unit: Unit, library: Library): number {
  const { id: _, propertyId, blockId, ...row } = unit;
  if (blockId !== 0) return all.units.insert({ ...row, propertyId, blockId });
  const community = library.communities.find(({ key }) => key === unit.communityKey);
  const prescriptionKey = community?.prescriptionKey ?? null;
  return insertUnit(all, propertyId, { ...row, prescriptionKey });
}

/** A block of one unit takes a new code and name along; a block that its last unit leaves goes out of use. */
function updateWholeUnit(all: Repositories, after: Unit): void {
  const before = all.units.find(after.id)!;
  if (before.blockId === after.blockId) {
    const { code, name } = after;
    all.blocks.update(blockAfter(all, all.blocks.find(before.blockId)!, before, { code, name }));
    all.units.update(after);
    return;
  }
  all.units.update(after);
  if (all.units.countInBlock(before.blockId) === 0) all.retired.insert('block', before.blockId);
}

function landKeepers(
  all: Repositories,
  library: Library,
): Pick<RowKeepers, 'landowner' | 'property' | 'unit' | 'block' | 'line'> {
  return {
    landowner: {
      changeKind: 'land',
      find: byId(all.properties.landowners),
      idOf: (row) => row.id,
      name: (row) => row.name,
      problems: checkLandowner,
      insert: (row) => all.properties.insertLandowner(withoutId(row)),
      update: all.properties.updateLandowner,
    },
    property: {
      changeKind: 'land',
      find: byId(all.properties.list),
      idOf: (row) => row.id,
      name: (row) => row.name,
      problems: (row) => {
        const isOwned = all.properties.landowners().some(({ id }) => id === row.landownerId);
        const unknown = isOwned ? [] : [pickProblem('property', 'landownerId', 'Landowner')];
        return [...checkProperty(row), ...unknown];
      },
      insert: (row) => all.properties.insert(withoutId(row)),
      update: all.properties.update,
    },
    unit: {
      changeKind: 'land',
      find: byId(all.units.list),
      idOf: (row) => row.id,
      name: (row) => `Unit ${row.code}`,
      problems: (row, before) => unitProblems(all, row, before, library),
      insert: (row) => insertNewUnit(all, row, library),
      update: (row) => updateWholeUnit(all, row),
    },
    block: {
      changeKind: 'land',
      find: byId(all.blocks.list),
      idOf: (row) => row.id,
      name: (row) => `Block ${row.code}`,
      problems: (row, before) => blockProblems(all, row, before, library),
      insert: (row) => all.blocks.insert(withoutId(row)),
      update: all.blocks.update,
    },
    line: {
      changeKind: 'land',
      find: byId(all.lines.list),
      idOf: (row) => row.id,
      name: (row) => row.name,
      problems: (row, before) => [...placeProblems(all, 'line', row, before), ...checkLine(row)],
      insert: (row) => all.lines.insert(withoutId(row)),
      update: all.lines.update,
    },
  };
}

type RecordNoun = RecordKind & keyof LandRows;

function recordKeeper<N extends RecordNoun>(
  all: Repositories,
  noun: N,
  name: (row: LandRows[N]) => string,
  problems: (row: LandRows[N], before: LandRows[N] | null) => Problem[],
): RowKeeper<LandRows[N]> {
  return {
    changeKind: noun === 'person' || noun === 'booking' ? 'people' : 'land',
    find: byId(() => all.records.list(noun) as LandRows[N][]),
    idOf: (row) => row.id,
    name,
    problems,
    insert: (row) => all.records.insert(noun, withoutId<LandRows[N] & { id: number }>(row)),
    update: (row) => all.records.update(noun, row),
  };
}

function bookingUnitProblems(all: Repositories, unitIds: readonly number[]): Problem[] {
  const isWrong = !unitIds.every((id) => all.units.find(id) !== null);
  const message = 'Units: pick units from the list, each once.';
  return isWrong || new Set(unitIds).size !== unitIds.length
    ? [{ code: 'booking-unitIds', field: 'unitIds', message }]
    : [];
}

/** Units of practices are units of the contract's property; those that went out of use stay as they are. */
function contractUnitProblems(all: Repositories, row: CostShareContract): Problem[] {
  return row.practices.flatMap((practice, index): Problem[] => {
    const isWrong = practice.units.some(
      ({ unitId }) => all.units.find(unitId)?.propertyId !== row.propertyId,
    );
    const message = `Practice ${index + 1}, Units: pick units of this property.`;
    return isWrong ? [{ code: 'contract-units', field: `p${index + 1}-units`, message }] : [];
  });
}

function contractKeepers(
  all: Repositories,
  library: Library,
): Pick<RowKeepers, 'contract' | 'ownRate'> {
  const ownRateName = ({ treatmentKey, densityClass }: OwnRate) => {
    const name = library.treatments.find(({ key }) => key === treatmentKey)?.name;
    return `${name ?? treatmentKey ?? 'lighting burns'}${densityClass ? ` (${densityClass})` : ''}`;
  };
  return {
    contract: {
      ...recordKeeper(
        all,
        'contract',
        (row) => `Contract ${contractName(row)}`,
        (row, before) => [
          ...placeProblems(all, 'contract', { propertyId: row.propertyId }, before),
          ...(all.properties.landowners().some(({ id }) => id === row.landownerId)
            ? []
            : [pickProblem('contract', 'landownerId', 'Landowner')]),
          ...contractUnitProblems(all, row),
          ...checkContract(row),
        ],
      ),
      changeKind: null,
    },
    ownRate: {
      ...recordKeeper(
        all,
        'ownRate',
        (row) => `The own rate of ${ownRateName(row)}`,
        (row, before) => [
          ...placeProblems(all, 'ownRate', { propertyId: row.propertyId }, before),
          ...checkOwnRate(row),
        ],
      ),
      changeKind: 'rules',
    },
  };
}

function recordKeepers(
  all: Repositories,
): Pick<
  RowKeepers,
  Exclude<
    RecordNoun,
    'contract' | 'ownRate' | 'mapLayer' | 'planElement' | 'tileService' | keyof AnswerKeepers
  >
> {
  const isContractCrew = (id: number) => all.crews.find(id)?.kind === 'contract';
  return {
    point: recordKeeper(
      all,
      'point',
      (row) => row.name,
      (row, before) => [...placeProblems(all, 'point', row, before), ...checkPoint(row)],
    ),
    lease: recordKeeper(
      all,
      'lease',
      (row) => `Lease of ${row.holder}`,
      (row, before) => [...placeProblems(all, 'lease', row, before), ...checkLease(row)],
    ),
    grazing: recordKeeper(
      all,
      'grazing',
      (row) => `Grazing from ${row.opens} to ${row.closes}`,
      (row, before) => [...placeProblems(all, 'grazing', row, before), ...checkGrazing(row)],
    ),
    consent: recordKeeper(
      all,
      'consent',
      (row) => `Consent of ${row.givenBy}`,
      (row, before) => [...placeProblems(all, 'consent', row, before), ...checkConsent(row)],
    ),
    person: recordKeeper(
      all,
      'person',
      (row) => row.name,
      (row) => [
        ...checkPerson(row),
        ...(row.crewId === null || all.crews.find(row.crewId)
          ? []
          : [pickProblem('person', 'crewId', 'Crew')]),
      ],
    ),
    booking: recordKeeper(
      all,
      'booking',
      (row) => `Booking of ${all.crews.find(row.crewId)?.name ?? 'a crew'} from ${row.from}`,
      (row) => [
        ...checkBooking(row),
        ...bookingUnitProblems(all, row.unitIds),
        ...(isContractCrew(row.crewId) ? [] : [pickProblem('booking', 'crewId', 'Contract crew')]),
      ],
    ),
  };
}

/** What sheets and maps are made from beside the land itself. */
function sheetKeepers(
  all: Repositories,
  library: Library,
): Pick<RowKeepers, 'mapLayer' | 'planElement' | 'tileService'> {
  const nameOf = (key: string) =>
    library.sheetTables.planElements.find((row) => row.key === key)?.name ?? key;
  return {
    mapLayer: recordKeeper(
      all,
      'mapLayer',
      (row) => `Map layer ${row.name}`,
      (row, before) => [...placeProblems(all, 'layer', row, before), ...checkMapLayer(row)],
    ),
    planElement: recordKeeper(
      all,
      'planElement',
      (row) => `${nameOf(row.key)} of block ${all.blocks.find(row.blockId)?.code ?? ''}`,
      (row) => [
        ...checkPlanElement(row, nameOf(row.key)),
        ...(all.blocks.find(row.blockId) ? [] : [pickProblem('element', 'blockId', 'Block')]),
      ],
    ),
    tileService: recordKeeper(
      all,
      'tileService',
      () => 'The server of map pictures',
      (row) => checkTileService(row),
    ),
  };
}

/** Rows that lie on one unit; it stays as it was. */
function onUnitProblems(
  all: Repositories,
  noun: string,
  row: { unitId: number },
  before: { unitId: number } | null,
): Problem[] {
  const isKnown = all.units.find(row.unitId) !== null;
  const isMoved = before !== null && before.unitId !== row.unitId;
  return isKnown && !isMoved ? [] : [pickProblem(noun, 'unitId', 'Unit')];
}

function photoPointProblems(all: Repositories, { unitId, finding }: Visit): Problem[] {
  if (finding.kind !== 'photos') return [];
  const point = all.records.list('photoPoint').find(({ id }) => id === finding.photoPointId);
  return point?.unitId === unitId ? [] : [pickProblem('visit', 'photoPointId', 'Photo point')];
}

function ownerLetterProblems(all: Repositories, row: OwnerLetter): Problem[] {
  const isOwner = all.properties.landowners().some(({ id }) => id === row.landownerId);
  const isSecond = all.records
    .list('ownerLetter')
    .some(({ id, landownerId }) => landownerId === row.landownerId && id !== row.id);
  return isOwner && !isSecond ? [] : [pickProblem('ownerLetter', 'landownerId', 'Landowner')];
}

type AnswerKeepers = Pick<RowKeepers, 'visit' | 'photoPoint' | 'ownerLetter'>;

/** What was seen, where pictures are taken, and the words of letters. */
function answerKeepers(all: Repositories): AnswerKeepers {
  const codeOf = (unitId: number) => all.units.find(unitId)?.code ?? 'a unit';
  const kept = { changeKind: null };
  return {
    visit: {
      ...recordKeeper(
        all,
        'visit',
        (row) => `Visit to ${codeOf(row.unitId)} on ${row.seenOn}`,
        (row, before) => [
          ...onUnitProblems(all, 'visit', row, before),
          ...photoPointProblems(all, row),
          ...checkVisit(row),
        ],
      ),
      ...kept,
    },
    photoPoint: {
      ...recordKeeper(
        all,
        'photoPoint',
        (row) => `Photo point ${row.name} on ${codeOf(row.unitId)}`,
        (row, before) => [
          ...onUnitProblems(all, 'photoPoint', row, before),
          ...checkPhotoPoint(row),
        ],
      ),
      ...kept,
    },
    ownerLetter: {
      ...recordKeeper(
        all,
        'ownerLetter',
        () => 'Words of a letter',
        (row) => ownerLetterProblems(all, row),
      ),
      ...kept,
    },
  };
}

function peopleKeepers(all: Repositories): Pick<RowKeepers, 'crew' | 'gear' | 'holiday'> {
  return {
    crew: {
      changeKind: 'people',
      find: byId(all.crews.list),
      idOf: (row) => row.id,
      name: (row) => row.name,
      problems: checkCrew,
      insert: (row) => all.crews.insert(withoutId(row)),
      update: all.crews.update,
    },
    gear: {
      changeKind: 'people',
      find: (id) => all.crews.gear().find((row) => row.key === id) ?? null,
      idOf: (row) => row.key,
      name: (row) => row.name,
      problems: (row, before) => [
        ...checkGear(row),
        ...(!before && all.crews.gear().some(({ key }) => key === row.key)
          ? [takenProblem('gear', 'key', 'Key', row.key)]
          : []),
      ],
      insert: (row) => {
        all.crews.insertGear(row);
        return row.key;
      },
      update: all.crews.updateGear,
    },
    holiday: {
      changeKind: 'people',
      find: (id) => all.crews.holidays().find((row) => row.date === id) ?? null,
      idOf: (row) => row.date,
      name: (row) => `Day off ${row.date}`,
      problems: (row, before) => [
        ...checkHoliday(row),
        ...(!before && all.crews.holidays().some(({ date }) => date === row.date)
          ? [takenProblem('holiday', 'date', 'Date', row.date)]
          : []),
      ],
      insert: (row) => {
        all.crews.insertHoliday(row);
        return row.date;
      },
      update: all.crews.updateHoliday,
    },
  };
}

function ruleKeepers(
  all: Repositories,
  isNoWorkKey: (key: string) => boolean,
): Pick<RowKeepers, 'approval' | 'station'> {
  const findApproval = (id: RowId) => all.approvals.list().find((row) => approvalId(row) === id);
  return {
    approval: {
      changeKind: 'rules',
      find: (id) => findApproval(id) ?? null,
      idOf: approvalId,
      name: (row) => `Approval of ${row.grantedBy} from ${row.from}`,
      problems: (row, before) => [
        ...checkApproval(row),
        ...(all.units.find(row.unitId) ? [] : [pickProblem('approval', 'unitId', 'Unit')]),
        ...(isNoWorkKey(row.noWorkKey)
          ? []
          : [pickProblem('approval', 'noWorkKey', 'No-work date')]),
        ...(!before && findApproval(approvalId(row))
          ? [takenProblem('approval', 'from', 'From', row.from)]
          : []),
      ],
      insert: (row) => {
        all.approvals.insert(row);
        return approvalId(row);
      },
      update: all.approvals.update,
    },
    station: {
      changeKind: 'weather',
      find: (id) => all.weather.station(String(id)),
      idOf: (row) => row.name,
      name: (row) => `Station ${row.name}`,
      problems: (row, before) => [
        ...checkStation(row),
        ...(!before && all.weather.station(row.name)
          ? [takenProblem('station', 'name', 'Name', row.name)]
          : []),
      ],
      insert: (row) => {
        all.weather.saveStation(row);
        return row.name;
      },
      update: all.weather.saveStation,
    },
  };
}

/** The keepers of all nouns of the land. `library` is the one in use; `isNoWorkKey` knows derived rules, too. */
export function rowKeepers(
  all: Repositories,
  library: Library,
  isNoWorkKey: (key: string) => boolean,
): RowKeepers {
  return {
    ...landKeepers(all, library),
    ...recordKeepers(all),
    ...contractKeepers(all, library),
    ...sheetKeepers(all, library),
    ...peopleKeepers(all),
    ...answerKeepers(all),
    ...ruleKeepers(all, isNoWorkKey),
  };
}
