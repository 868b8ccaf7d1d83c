import { isoDate, monthDay } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { Finding, Visit } from '../../src/core/visits.ts';
import { fakeOperation } from './operation.ts';

function seen(id: number, finding: Finding): Visit[] {
  return [{ id, unitId: 1, seenOn: isoDate('2026-08-01'), seenBy: '', finding, note: '' }];
}

/** The invented operation with rows of every noun, and with fields set that its own rows leave blank. */
export function wholeOperation(): Operation {
  const operation = fakeOperation();
  const block = operation.blocks[1]!;
  block.rotation = { phase: 'restoration', leastSeasons: 2, targetYears: 2.5, mostYears: 4 };
  block.burnLimits = { windFrom: ['S', 'SW'], gustMphMost: 18, canopyPercent: 40 };
  block.readiness.roles = [
    { role: 'boss', personId: 1 },
    { role: 'lighter', personId: 1 },
    { role: 'lighter', personId: 2 },
  ];
  operation.noWork[0]!.firmness = 'ask-first';
  const place = { propertyId: 1, unitIds: [1, 3] };
  const bars = { barsFamilies: ['burn' as const, 'cut' as const], firmness: 'hard' as const };
  const yearly = { opens: monthDay('04-01'), closes: monthDay('10-31') };
  return {
    ...operation,
    points: [
      {
        ...{ ...place, ...bars, ...yearly, id: 1, name: 'Old den', kind: 'den', bufferFeet: 66 },
        position: [-92.0937, 37.2041],
        rule: 'Stay outside the tape.\nCall first.',
      },
      {
        ...{ ...place, id: 2, name: 'East gate', kind: 'gate', bufferFeet: 0, position: null },
        ...{ barsFamilies: [], opens: null, closes: null, firmness: 'ask-first', rule: '' },
      },
    ],
    leases: [
      {
        ...{ ...place, ...bars, ...yearly, id: 1, holder: 'Hunting club', contact: 'by phone' },
        ...{ use: 'hunting', from: isoDate('2026-09-01'), until: null, rule: 'After 10 am.' },
      },
    ],
    grazing: [
      {
        ...{
          ...place,
          ...yearly,
          id: 1,
          stock: 'cattle',
          from: null,
          until: isoDate('2028-10-31'),
        },
        ...{ restDaysBeforeFire: 60, deferDaysAfterFire: 45, note: 'north herd' },
      },
    ],
    consents: [
      {
        ...{ ...place, id: 1, families: ['burn'], givenBy: 'Fernhill Land Trust' },
        ...{ isNeighbour: true, from: isoDate('2026-07-01'), until: isoDate('2027-06-30') },
        note: '',
      },
    ],
    contracts: [
      {
        ...{ id: 1, propertyId: 1, landownerId: 1, program: 'Savanna share', number: '26-104' },
        ...{ appliedOn: isoDate('2026-03-02'), approvedOn: isoDate('2026-08-20') },
        ...{ firstPracticeDueOn: isoDate('2027-08-20'), endsOn: isoDate('2029-12-31') },
        practices: [
          {
            ...{ number: '314', name: 'Brush management', treatmentKeys: ['cedar-felling'] },
            units: [
              { unitId: 1, contractAcres: 18.5 },
              { unitId: 3, contractAcres: null },
            ],
            ...{ plannedBy: isoDate('2027-12-31'), paymentUsd: 210.5, paymentBasis: 'acre' },
          },
          {
            ...{ number: '338', name: 'Prescribed burning', treatmentKeys: ['dormant-burn'] },
            units: [{ unitId: 1, contractAcres: 20 }],
            ...{ plannedBy: null, paymentUsd: 900, paymentBasis: 'practice' },
          },
        ],
        note: 'office in town',
      },
    ],
    people: [
      {
        ...{
          id: 1,
          name: 'R. Hale',
          contact: 'radio 2',
          crewId: 1,
          burnRoles: ['boss', 'lighter'],
        },
        qualifications: [
          { name: 'chainsaw course', expiresOn: isoDate('2027-03-01') },
          { name: 'first aid', expiresOn: null },
        ],
        ...{ usualDays: [1, 2, 6], note: '' },
      },
      {
        ...{ id: 2, name: 'J. Moss', contact: '', crewId: null, burnRoles: [], usualDays: [] },
        ...{ qualifications: [], note: 'helps on weekends' },
      },
    ],
    bookings: [
      {
        ...{ id: 1, crewId: 2, state: 'signed', unitIds: [3, 1, 8] },
        ...{ from: isoDate('2026-12-01'), until: isoDate('2026-12-18'), bookBy: null },
        ...{ priceBasis: 'acre', priceUsd: 310.5, moveInUsd: 900, daysLeast: 5, note: '' },
      },
    ],
    visits: [
      {
        ...{ id: 1, unitId: 1, seenOn: isoDate('2026-03-02'), seenBy: 'R. Hale', note: 'windy' },
        finding: {
          ...{ kind: 'evaluation', stage: 'second', shareBlackPercent: 85, flameFeet: 2.5 },
          scorchClass: '34-66',
          topkillPercent: { under1Inch: 90, to3Inches: 40, over3Inches: 5 },
          cedarKillPercent: { under1Foot: 100, to6Feet: 60, over6Feet: null },
        },
      },
      ...seen(2, {
        ...{ kind: 'forage', of: 'browse', plotSquareFeet: 9.6, dryPercent: 45 },
        gramsByPlot: [12.5, 30, 8],
      }),
      ...seen(3, { kind: 'stem-count', of: 'cedar', plotSquareFeet: 435.6, stemsByPlot: [4, 0] }),
      ...seen(4, { kind: 'canopy-cover', method: 'densiometer', readings: [30, 41] }),
      ...seen(5, {
        ...{ kind: 'basal-area', method: 'prism', factor: 10, plotAcres: null, counts: [6, 9] },
      }),
      ...seen(6, {
        ...{ kind: 'basal-area', method: 'stems', factor: null, plotAcres: 0.2, counts: [10.5] },
      }),
      ...seen(7, { kind: 'photos', photoPointId: 1, photos: ['a.jpg', 'b.jpg'] }),
      ...seen(8, { kind: 'bird-count', species: 'bobwhite', stations: 2, birds: 5 }),
      ...seen(9, { kind: 'covey-count', stations: 2, coveys: 3 }),
    ],
    photoPoints: [
      {
        ...{ id: 1, unitId: 1, name: 'North', marker: 'steel post', bearingDegrees: 205 },
        frame: 'the lone oak in the middle',
      },
    ],
    approvals: [
      {
        ...{ noWorkKey: 'fall-hunt', unitId: 2, grantedBy: 'the owner' },
        ...{ from: isoDate('2026-11-01'), until: isoDate('2026-11-24') },
      },
    ],
  };
}
