import type { Booking } from '../bookings.ts';
import type { Consent } from '../consents.ts';
import type { Crew } from '../crews.ts';
import { addDays, addYears, type IsoDate, lastDayOf, monthDay } from '../dates.ts';
import type { Position } from '../geometry.ts';
import type { GrazingSpan } from '../grazing.ts';
import type { Lease } from '../leases.ts';
import type { LandContent } from '../library.ts';
import type { BurnRole, BurnRoleFill, Person } from '../people.ts';
import type { PointToProtect } from '../points.ts';
import type { Unit } from '../units.ts';
import { sampleMapRows } from './map-rows.ts';

/** Points, leases, grazing, consents, people and bookings are numbered together: they lie in one table. */
const firstPersonId = 11;

const people: [string, number | null, BurnRole[], number[]][] = [
  ['Tess Arden', 1, ['boss', 'lighter'], [1, 2, 3, 4, 5]],
  ['Joss Whitlow', 1, ['lighter', 'holder'], [1, 2, 3, 4, 5]],
  ['Mara Quill', 1, ['holder', 'water'], [1, 2, 3, 4, 5]],
  ['Nils Brand', 1, ['water', 'holder'], [1, 2, 3, 4, 5]],
  ['Odell Finch', 2, ['boss', 'lighter', 'lookout'], [3, 6]],
  ['Imani Cole', 2, ['lookout', 'holder'], [5, 6]],
  ['Reuben Stahl', 2, ['holder', 'on-call'], [6]],
];

/** The home crew and the burn help; the qualification of the second boss runs out soon. */
export function samplePeople(today: IsoDate): Person[] {
  return people.map(([name, crewId, burnRoles, usualDays], index) => ({
    id: firstPersonId + index,
    name,
    contact: 'phone list in the barn',
    crewId,
    burnRoles,
    qualifications: burnRoles.includes('boss')
      ? [
          {
            name: 'Burn boss',
            expiresOn: name === 'Tess Arden' ? addYears(today, 2) : addDays(today, 45),
          },
        ]
      : [{ name: 'Pack test', expiresOn: addYears(today, 1) }],
    usualDays,
    note: '',
  }));
}

/** Six people in the roles of the burn of Saddle; the boss decides on the day all the same. */
export const sampleRoles: Record<string, BurnRoleFill[]> = {
  N2: [
    { role: 'boss', personId: firstPersonId },
    { role: 'lighter', personId: firstPersonId + 1 },
    { role: 'holder', personId: firstPersonId + 2 },
    { role: 'water', personId: firstPersonId + 3 },
    { role: 'lookout', personId: firstPersonId + 5 },
    { role: 'holder', personId: firstPersonId + 4 },
    { role: 'on-call', personId: firstPersonId + 6 },
  ],
};

/** Middle of the first ring's corners. */
function middleOf({ boundary }: Unit): Position | null {
  if (boundary?.type !== 'Polygon') return null;
  const corners = (boundary.coordinates as number[][][])[0]?.slice(1) ?? [];
  const mean = (axis: 0 | 1) =>
    corners.reduce((sum, corner) => sum + (corner[axis] ?? 0), 0) / corners.length;
  return corners.length === 0 ? null : [mean(0), mean(1)];
}

function points(unitOf: (code: string) => Unit): PointToProtect[] {
  const row = (
    id: number,
    code: string,
    own: Pick<PointToProtect, 'name' | 'kind' | 'bufferFeet' | 'rule'> & Partial<PointToProtect>,
  ): PointToProtect => ({
    id,
    propertyId: unitOf(code).propertyId,
    position: middleOf(unitOf(code)),
    unitIds: [unitOf(code).id],
    barsFamilies: [],
    opens: null,
    closes: null,
    firmness: 'ask-first',
    ...own,
  });
  return [
    row(1, 'N8', {
      name: 'Fox den under the ledge',
      kind: 'den',
      bufferFeet: 150,
      rule: 'no fire while there are young',
      barsFamilies: ['burn'],
      opens: monthDay('04-01'),
      closes: monthDay('06-15'),
      firmness: 'hard',
    }),
    row(2, 'P5', {
      name: 'Four graves under the cedar',
      kind: 'grave',
      bufferFeet: 60,
      rule: 'no machine inside the stones',
    }),
    row(3, 'W3', {
      name: 'Lower gate',
      kind: 'way-out',
      bufferFeet: 30,
      rule: 'way out to the road: keep it clear and unlocked on a burn day',
    }),
  ];
}

function lease(unitIds: number[], today: IsoDate): Lease {
  return {
    id: 4,
    propertyId: 1,
    holder: 'Ridge hunting club',
    contact: 'the caretaker, by phone',
    use: 'hunting',
    unitIds,
    from: addYears(today, -1),
    until: addYears(today, 2),
    barsFamilies: ['burn', 'cut'],
    opens: monthDay('11-11'),
    closes: monthDay('11-24'),
    firmness: 'ask-first',
    rule: 'call before work in these two weeks',
  };
}

function grazing(unitIds: number[]): GrazingSpan {
  return {
    id: 5,
    propertyId: 2,
    unitIds,
    stock: 'cattle',
    opens: monthDay('05-01'),
    closes: monthDay('09-30'),
    from: null,
    until: null,
    restDaysBeforeFire: 30,
    deferDaysAfterFire: 60,
    note: 'cows and calves of the neighbor',
  };
}

function consents(unitIds: number[], seasonEnds: IsoDate): Consent[] {
  const row = { propertyId: 1, families: ['burn' as const], note: 'signed paper in the office' };
  const from = addYears(seasonEnds, -1);
  return [
    {
      ...row,
      id: 6,
      unitIds,
      givenBy: 'Marlow family',
      isNeighbour: false,
      from,
      until: seasonEnds,
    },
    {
      ...row,
      id: 7,
      unitIds: unitIds.slice(0, 1),
      givenBy: 'Ash Corrin, north side',
      isNeighbour: true,
      from,
      until: seasonEnds,
    },
  ];
}

/** The next job of the contract crew is signed, the one after it waits for an answer. */
function bookings(crews: readonly Crew[], unitIds: number[], today: IsoDate): Booking[] {
  const crew = crews.find(({ kind }) => kind === 'contract');
  return (crew?.onSpans ?? []).slice(0, 2).map((span, index) => ({
    id: 21 + index,
    crewId: crew!.id,
    state: index === 0 ? 'signed' : 'asked',
    unitIds,
    from: span.startsOn,
    until: lastDayOf(span),
    priceBasis: 'day',
    priceUsd: crew!.costPerDayUsd,
    moveInUsd: 350,
    daysLeast: 5,
    bookBy: index === 0 ? null : addDays(today, 30),
    note: '',
  }));
}

/** What stands beside the units: places, rights, papers, people and jobs, all invented. */
export function sampleRecords(
  units: readonly Unit[],
  crews: readonly Crew[],
  seasonEnds: IsoDate,
  today: IsoDate,
): Pick<
  LandContent,
  | 'points'
  | 'mapLayers'
  | 'tileServices'
  | 'planElements'
  | 'leases'
  | 'grazing'
  | 'consents'
  | 'people'
  | 'bookings'
> {
  const unitOf = (code: string) => units.find((unit) => unit.code === code)!;
  const idsOf = (...codes: string[]) => codes.map((code) => unitOf(code).id);
  const { mapPoints, ...mapRows } = sampleMapRows(units, today);
  return {
    ...mapRows,
    points: [...points(unitOf), ...mapPoints],
    leases: [lease(idsOf('W1', 'W2', 'W3'), today)],
    grazing: [grazing(idsOf('F4'))],
    consents: consents(idsOf('N1', 'N2', 'N5', 'N6'), seasonEnds),
    people: samplePeople(today),
    bookings: bookings(crews, idsOf('N3', 'N9'), today),
  };
}
