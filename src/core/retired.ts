import type { LandContent, Library } from './library.ts';
import type { Approval } from './no-work.ts';
import type { Noun, RowId } from './records.ts';

/** Name of a row that is out of use. */
export interface RetiredKey {
  noun: Noun;
  id: RowId;
}

type IdsOf = (noun: Noun) => ReadonlySet<RowId>;

/** An approval has no number: it is known by what it lifts, where, and from when. */
export function approvalId({ noWorkKey, unitId, from }: Approval): string {
  return `${noWorkKey}|${unitId}|${from}`;
}

function retiredIds(retired: readonly RetiredKey[]): IdsOf {
  const byNoun = new Map<Noun, Set<RowId>>();
  for (const { noun, id } of retired)
    byNoun.set(noun, (byNoun.get(noun) ?? new Set<RowId>()).add(id));
  return (noun) => byNoun.get(noun) ?? new Set();
}

/** A row that named units and has none of them left goes out: an empty list would mean the whole property. */
function onUnits<R extends { unitIds: number[] }>(
  rows: readonly R[],
  isIn: (id: number) => boolean,
): R[] {
  return rows.flatMap((row) => {
    const unitIds = row.unitIds.filter(isIn);
    if (unitIds.length === row.unitIds.length) return [row];
    return unitIds.length === 0 ? [] : [{ ...row, unitIds }];
  });
}

/** Places and rights that hang on units and properties. */
function landRows(
  content: LandContent,
  out: IdsOf,
  isUnitIn: (id: number) => boolean,
): Pick<
  LandContent,
  'lines' | 'points' | 'mapLayers' | 'leases' | 'grazing' | 'consents' | 'contracts' | 'ownRates'
> {
  const rows = <R extends { id: number; propertyId: number }>(noun: Noun, list: readonly R[]) =>
    list.filter((row) => !out(noun).has(row.id) && !out('property').has(row.propertyId));
  return {
    lines: onUnits(rows('line', content.lines), isUnitIn),
    // A point on the map is still there when its unit is not.
    points: rows('point', content.points).flatMap((point) =>
      point.position === null
        ? onUnits([point], isUnitIn)
        : [{ ...point, unitIds: point.unitIds.filter(isUnitIn) }],
    ),
    mapLayers: rows('mapLayer', content.mapLayers),
    leases: onUnits(rows('lease', content.leases), isUnitIn),
    grazing: onUnits(rows('grazing', content.grazing), isUnitIn),
    consents: onUnits(rows('consent', content.consents), isUnitIn),
    // A paper stays whole when one of its units goes.
    contracts: rows('contract', content.contracts),
    ownRates: rows('ownRate', content.ownRates),
  };
}

/** Crews, people and their jobs. A person of a retired crew stays, without a crew. */
function peopleRows(
  content: LandContent,
  out: IdsOf,
  isUnitIn: (id: number) => boolean,
): Pick<LandContent, 'crews' | 'people' | 'bookings' | 'gear' | 'holidays'> {
  const isCrewOut = (id: number | null) => id !== null && out('crew').has(id);
  return {
    crews: content.crews.filter((crew) => !isCrewOut(crew.id)),
    people: content.people
      .filter((person) => !out('person').has(person.id))
      .map((person) => (isCrewOut(person.crewId) ? { ...person, crewId: null } : person)),
    // The days of a job stay booked when one of its units goes.
    bookings: content.bookings
      .filter((booking) => !out('booking').has(booking.id) && !isCrewOut(booking.crewId))
      .map((booking) => ({ ...booking, unitIds: booking.unitIds.filter(isUnitIn) })),
    gear: content.gear.filter((gear) => !out('gear').has(gear.key)),
    holidays: content.holidays.filter((holiday) => !out('holiday').has(holiday.date)),
  };
}

/** Blocks in use, without retired people in their roles. */
function blockRows(content: LandContent, out: IdsOf, units: LandContent['units']) {
  const filled = new Set(units.map((unit) => unit.blockId));
  const hasHadUnits = new Set(content.units.map((unit) => unit.blockId));
  const isIn = ({ id, propertyId }: { id: number; propertyId: number }) =>
    !out('block').has(id) &&
    !out('property').has(propertyId) &&
    (filled.has(id) || !hasHadUnits.has(id));
  return content.blocks.filter(isIn).map((block) => {
    const roles = block.readiness.roles.filter(({ personId }) => !out('person').has(personId));
    if (roles.length === block.readiness.roles.length) return block;
    return { ...block, readiness: { ...block.readiness, roles } };
  });
}

/**
 * The land in use: the rows given less what is retired and what hangs on it. A retired property takes its units,
 * blocks, lines, points, leases, grazing, consents, contracts and own rates along; a retired block its units; a retired unit its work
 * log, visits, photo points, approvals, neighbours and its place in lists of units; a retired crew its bookings. A block whose units are
 * all retired goes out, a new block that waits for its first unit does not. Nothing is changed in the rows given,
 * so that bringing a row back restores all of it.
 */
export function activeLand(content: LandContent, retired: readonly RetiredKey[]): LandContent {
  if (retired.length === 0) return content;
  const out = retiredIds(retired);
  const units = content.units.filter(
    ({ id, blockId, propertyId }) =>
      !out('unit').has(id) && !out('block').has(blockId) && !out('property').has(propertyId),
  );
  const unitIds = new Set(units.map((unit) => unit.id));
  const isUnitIn = (id: number) => unitIds.has(id);
  const blocks = blockRows(content, out, units);
  const blockIds = new Set(blocks.map(({ id }) => id));
  return {
    ...content,
    ...landRows(content, out, isUnitIn),
    ...peopleRows(content, out, isUnitIn),
    landowners: content.landowners.filter((owner) => !out('landowner').has(owner.id)),
    properties: content.properties.filter((property) => !out('property').has(property.id)),
    units,
    blocks,
    planElements: content.planElements.filter(({ blockId }) => blockIds.has(blockId)),
    neighbours: content.neighbours.filter((pair) => pair.unitIds.every(isUnitIn)),
    entries: content.entries.filter((entry) => isUnitIn(entry.unitId)),
    papers: content.papers.filter((paper) => paper.unitIds.some(isUnitIn)),
    visits: content.visits.filter((row) => isUnitIn(row.unitId) && !out('visit').has(row.id)),
    photoPoints: content.photoPoints.filter(
      (row) => isUnitIn(row.unitId) && !out('photoPoint').has(row.id),
    ),
    approvals: content.approvals.filter(
      (approval) => isUnitIn(approval.unitId) && !out('approval').has(approvalId(approval)),
    ),
  };
}

/** The reference tables in use: less the rows that the user retired, and no-work dates of retired properties. */
export function activeLibrary(library: Library, retired: readonly RetiredKey[]): Library {
  if (retired.length === 0) return library;
  const out = retiredIds(retired);
  const inUse = <R extends { key: string }>(noun: Noun, rows: R[]) =>
    rows.filter((row) => !out(noun).has(row.key));
  return {
    ...library,
    communities: inUse('community', library.communities),
    treatments: inUse('treatment', library.treatments),
    sequences: inUse('sequence', library.sequences),
    noWork: inUse('noWork', library.noWork).filter(
      (span) => span.propertyId === null || !out('property').has(span.propertyId),
    ),
    prescriptions: inUse('prescription', library.prescriptions),
    lineKinds: inUse('lineKind', library.lineKinds),
  };
}

/**
 * Names of rows that lean on a row, so that it can not go out of use: an owner's properties; units of a natural
 * community; steps and work log of a treatment; blocks of a sequence; blocks, communities and treatments of a
 * prescription; lines of a kind; treatments that planned sequences need gear for.
 */
export function usesOf(content: LandContent, library: Library, noun: Noun, id: RowId): string[] {
  const { units, blocks, entries } = content;
  const { communities, treatments, sequences } = library;
  const codes = (rows: readonly { code: string }[]) => rows.map(({ code }) => code);
  const names = (rows: readonly { name: string }[]) => rows.map(({ name }) => name);
  const has = (sequence: Library['sequences'][number], key: RowId) =>
    sequence.steps.some((step) => step.treatmentKeys.some((one) => one === key));
  if (noun === 'landowner')
    return names(content.properties.filter((property) => property.landownerId === id));
  if (noun === 'community') return codes(units.filter((unit) => unit.communityKey === id));
  if (noun === 'sequence') return codes(blocks.filter((block) => block.sequenceKey === id));
  if (noun === 'treatment')
    return [
      ...names(sequences.filter((sequence) => has(sequence, id))),
      ...(entries.some((entry) => entry.treatmentKey === id) ? ['the work log'] : []),
    ];
  if (noun === 'prescription')
    return [
      ...codes(blocks.filter((block) => block.prescriptionKey === id)),
      ...names(communities.filter((row) => row.prescriptionKey === id)),
      ...names(treatments.filter((row) => row.prescriptionKey === id)),
    ];
  if (noun === 'lineKind') return names(content.lines.filter((line) => line.kind === id));
  if (noun !== 'gear') return [];
  const inUse = sequences.filter(({ key }) => blocks.some((block) => block.sequenceKey === key));
  return names(
    treatments.filter(
      ({ key, gear }) => gear.some((one) => one === id) && inUse.some((one) => has(one, key)),
    ),
  );
}
