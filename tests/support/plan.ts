import { isoDate } from '../../src/core/dates.ts';
import type { Plan } from '../../src/core/plans.ts';
import type { LeftOutTask, PlannedTask } from '../../src/core/tasks.ts';
import { fakeToday } from './operation.ts';

/** A planned task of the invented operation from its key; dates first and last, both inclusive. */
export function fakeTask(
  key: string,
  startsOn: string,
  lastDay: string,
  own: Partial<PlannedTask>,
): PlannedTask {
  const [place = '', sequenceKey = '', stepKey = '', cycle = '1', part = '-'] = key.split('/');
  const [kind, id] = place.split(':');
  const blockOfUnit = [0, 1, 2, 3, 4, 5, 6, 6, 7];
  const unitId = kind === 'unit' ? Number(id) : null;
  const blockId = unitId === null ? Number(id) : (blockOfUnit[unitId] ?? 0);
  return {
    key,
    propertyId: blockId === 7 ? 2 : 1,
    blockId,
    unitId,
    sequenceKey,
    stepKey,
    cycle: Number(cycle),
    part,
    name: stepKey,
    treatmentKey: stepKey,
    family: 'monitor',
    areaAcres: 20,
    startsOn: isoDate(startsOn),
    lastDay: isoDate(lastDay),
    isWhenFit: false,
    tiedToKey: null,
    crewIds: [1],
    crewDaysTenths: 10,
    crewShares: [{ crewId: 1, days: [{ date: isoDate(startsOn), tenths: 10 }] }],
    gearShares: [],
    dueOn: null,
    lateDays: 0,
    isHeld: false,
    cost: 0,
    because: [],
    ...own,
  };
}

const burn: Partial<PlannedTask> = {
  name: 'Dormant-season burn',
  treatmentKey: 'dormant-burn',
  family: 'burn',
  isWhenFit: true,
  crewDaysTenths: 20,
  gearShares: [{ gearKey: 'burn-trailer', days: [] }],
};

const tasks: PlannedTask[] = [
  fakeTask('block:1/cedar-woodland/line/2/-', '2026-11-02', '2026-11-04', {
    name: 'Make the line',
    treatmentKey: 'line-build',
    family: 'line',
    areaAcres: 22,
    crewDaysTenths: 25,
    because: ['The line has to be made before the burn of January.'],
  }),
  fakeTask('unit:4/old-field-spray/spray/1/-', '2026-11-05', '2026-11-20', {
    name: 'Foliar spray',
    treatmentKey: 'foliar-spray',
    family: 'spray',
    areaAcres: 18,
    crewDaysTenths: 45,
    because: ['The spray window runs from 15 October to 25 November.'],
  }),
  fakeTask('unit:2/cedar-woodland/cure-check/1/-', '2026-11-16', '2026-11-16', {
    name: 'Cure check',
    treatmentKey: 'cure-check',
    crewDaysTenths: 5,
    because: ['Felled 12 Dec 2024; two growing seasons have passed.'],
  }),
  fakeTask('unit:5/cedar-woodland/fell/1/-', '2026-11-30', '2026-12-18', {
    name: 'Fell cedar',
    treatmentKey: 'cedar-felling',
    family: 'cut',
    areaAcres: 44,
    crewIds: [2],
    crewDaysTenths: 140,
    crewShares: [{ crewId: 2, days: [{ date: isoDate('2026-11-30'), tenths: 140 }] }],
    because: ['No-work dates end on 24 Nov 2026; the contract crew is on site from 16 Nov.'],
  }),
  fakeTask('block:1/cedar-woodland/second-pass/2/-', '2027-01-11', '2027-01-24', {
    name: 'Blow the line again',
    treatmentKey: 'line-second-pass',
    family: 'line',
    tiedToKey: 'block:1/cedar-woodland/burn/2/-',
    crewDaysTenths: 10,
  }),
  fakeTask('block:1/cedar-woodland/burn/2/-', '2027-01-11', '2027-01-24', {
    ...burn,
    areaAcres: 22,
    dueOn: isoDate('2025-06-15'),
    lateDays: 575,
    cost: 900,
    because: ['Overdue for fire since 16 Jun 2026.', 'First two weeks with fit days left.'],
  }),
  fakeTask('block:2/cedar-woodland/burn/1/-', '2027-02-08', '2027-02-21', {
    ...burn,
    areaAcres: 31,
    because: ['The felled cedar has cured two growing seasons.'],
  }),
];

const leftOut: LeftOutTask[] = [
  {
    key: 'block:7/cedar-woodland/burn/2/-',
    propertyId: 2,
    blockId: 7,
    unitId: null,
    sequenceKey: 'cedar-woodland',
    stepKey: 'burn',
    cycle: 2,
    part: '-',
    name: 'Dormant-season burn',
    treatmentKey: 'dormant-burn',
    family: 'burn',
    areaAcres: 36,
    dueOn: isoDate('2026-01-20'),
    reason: 'No fit days are left in its burn season.',
    cost: 3360,
  },
];

/** The plan in force of the invented operation; a fresh copy each time. */
export function fakePlan(own: Partial<Plan> = {}): Plan {
  return structuredClone({
    id: 1,
    state: 'in-force',
    createdAt: '2026-10-26T14:03:00Z',
    adoptedAt: '2026-10-26T14:10:00Z',
    content: {
      madeOn: isoDate('2026-10-26'),
      horizon: { startsOn: fakeToday, endsBefore: isoDate('2029-07-01') },
      seed: 1,
      iterations: null,
      seconds: 5,
      version: '0.1.0',
      cost: 4260,
      bound: null,
      tasks,
      leftOut,
      later: [
        {
          key: 'block:3/cedar-woodland/burn/3/-',
          propertyId: 1,
          blockId: 3,
          unitId: null,
          sequenceKey: 'cedar-woodland',
          stepKey: 'burn',
          cycle: 3,
          part: '-',
          name: 'Dormant-season burn',
          treatmentKey: 'dormant-burn',
          family: 'burn',
          reason: 'Its burn season opens after 30 Jun 2029, the end of the plan.',
          isWaiting: false,
        },
      ],
    },
    ...own,
  } satisfies Plan) as Plan;
}

/** A draft that moves one task and leaves another out, with the differences that tell so. */
export function fakeDraft(): Plan {
  const draft = fakePlan({ id: 2, state: 'draft', adoptedAt: null });
  const felling = draft.content.tasks.find((task) => task.stepKey === 'fell');
  if (felling) {
    felling.startsOn = isoDate('2026-12-07');
    felling.lastDay = isoDate('2026-12-23');
  }
  return draft;
}
