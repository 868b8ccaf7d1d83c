import { type Block, noBurnLimits } from '../../../src/core/blocks.ts';
import { weightsDefault } from '../../../src/core/costs.ts';
import { isoDate, monthDay } from '../../../src/core/dates.ts';
import type { Operation } from '../../../src/core/operation.ts';
import type { PlanContent } from '../../../src/core/plans.ts';
import type { Property } from '../../../src/core/properties.ts';
import type { Lag, Sequence, Step } from '../../../src/core/sequences.ts';
import { noSheetTables } from '../../../src/core/sheet-tables.ts';
import type { Source } from '../../../src/core/sources.ts';
import type { PlannedTask } from '../../../src/core/tasks.ts';
import type { Treatment } from '../../../src/core/treatments.ts';
import type { Unit } from '../../../src/core/units.ts';
import type { Prescription } from '../../../src/core/weather/prescriptions.ts';
import type { WorkEntry } from '../../../src/core/worklog.ts';

/** A small invented operation and a plan of ten tasks that keeps every rule, for the tests of the plan checker. */
const invented: Source = { status: 'default-to-edit', source: '' };
const at = (text: string) => ({ at: monthDay(text) });

export const marlRidge: Property = {
  id: 1,
  landownerId: 1,
  name: 'Marl Ridge',
  state: 'MO',
  county: 'Marl',
  timeZone: 'America/Chicago',
  latitude: 36.9,
  longitude: -92.9,
  burningSeasonStart: monthDay('07-01'),
  growingSeasonEnd: monthDay('10-01'),
  anchors: {
    usual: {
      'leaf-out': monthDay('04-12'),
      'leaf-fall': monthDay('11-05'),
      'green-up': monthDay('03-20'),
      'warm-season-start': monthDay('05-01'),
    },
    byYear: [{ anchor: 'leaf-out', year: 2027, date: isoDate('2027-04-02'), how: 'observed' }],
  },
  neighbourRule: 'no-matter',
  isSample: true,
};

function treatment(key: string, own: Partial<Treatment>): Treatment {
  return {
    ...invented,
    key,
    name: key,
    family: 'line',
    purpose: '',
    region: 'OZ',
    scope: 'block',
    windows: [{ opens: at('10-01'), closes: at('03-31') }],
    windowSource: invented,
    rate: { ...invented, basis: 'line-foot', per: 'person-day', amount: 800 },
    duration: 'spread',
    peopleLeast: 2,
    skills: [],
    gear: [],
    kit: '',
    prescriptionKey: null,
    stemInchesMost: null,
    speciesGroups: [],
    cautionKeys: [],
    regionNotes: '',
    ...own,
  };
}

const cutRate = { scattered: 3, moderate: 1, dense: 0.5, thicket: 0.2 };
const treatments: Treatment[] = [
  treatment('fell', {
    family: 'cut',
    scope: 'unit',
    skills: ['saw'],
    stemInchesMost: 10,
    speciesGroups: ['cedar'],
    rate: { ...invented, basis: 'acre', per: 'person-day', amount: cutRate },
  }),
  treatment('line-build', {}),
  treatment('line-clear', {
    rate: { ...invented, basis: 'line-foot', per: 'person-day', amount: 2400 },
  }),
  treatment('burn', {
    family: 'burn',
    skills: ['fire'],
    gear: ['burn-trailer'],
    duration: 'one-day',
    peopleLeast: 4,
    rate: { ...invented, basis: 'fixed', per: 'crew-day', amount: 1 },
    windows: [
      {
        opens: { anchor: 'leaf-fall', plusDays: 7 },
        closes: { earlierOf: [at('04-01'), { anchor: 'leaf-out', plusDays: -7 }] },
      },
    ],
  }),
  treatment('patrol', {
    family: 'monitor',
    rate: { ...invented, basis: 'fixed', per: 'crew-day', amount: 0.5 },
  }),
  treatment('spray', {
    family: 'spray',
    scope: 'unit',
    skills: ['herbicide'],
    gear: ['sprayer'],
    windows: [{ opens: at('05-15'), closes: at('07-31') }],
    rate: { ...invented, basis: 'acre', per: 'person-day', amount: 2 },
  }),
];

const lag = (afterStepKey: string, own: Partial<Lag>): Lag => ({
  afterStepKey,
  cycle: 'same',
  kind: 'fixed',
  least: { days: 0 },
  target: null,
  most: null,
  mostIsHard: false,
  link: 'needs',
  ...own,
});

const step = (key: string, treatmentKey: string, own: Partial<Step>): Step => ({
  key,
  name: key,
  treatmentKeys: [treatmentKey],
  cycles: 'every',
  lags: [],
  tiedTo: null,
  tiedDays: 0,
  shareOfAcres: 1,
  note: '',
  ...own,
});

const sequences: Sequence[] = [
  {
    ...invented,
    key: 'cedar',
    name: 'Cedar out, then fire',
    purpose: '',
    phase: 'restoration',
    rotation: { phase: 'restoration', leastSeasons: 2, targetYears: 2, mostYears: 3 },
    partsCount: 1,
    repeat: { kind: 'rotation', stepKey: 'burn', years: 0 },
    steps: [
      step('fell', 'fell', { cycles: 'first' }),
      step('line', 'line-build', {}),
      step('clear', 'line-clear', { tiedTo: 'burn' }),
      step('burn', 'burn', {
        lags: [
          lag('fell', { least: { days: 300, growingSeasons: 1 } }),
          lag('line', { most: { days: 150 }, mostIsHard: true, link: 'both' }),
          lag('burn', { cycle: 'previous', kind: 'rotation' }),
        ],
      }),
      step('patrol', 'patrol', { tiedTo: 'burn', tiedDays: 1, lags: [lag('burn', {})] }),
    ],
  },
  {
    ...invented,
    key: 'field',
    name: 'Old field, sprayed',
    purpose: '',
    phase: 'none',
    rotation: null,
    partsCount: 1,
    repeat: { kind: 'years', stepKey: 'spray', years: 1 },
    steps: [step('spray', 'spray', {})],
  },
];

const unit = (id: number, code: string, areaAcres: number, own: Partial<Unit> = {}): Unit => ({
  id,
  propertyId: 1,
  blockId: id,
  code,
  name: code,
  areaAcres,
  measuredAcres: null,
  perimeterFeet: null,
  communityKey: 'oak-woodland',
  aspect: 'S',
  slopePercent: 10,
  densityClass: 'moderate',
  tags: [],
  boundary: null,
  ...own,
});

const block = (id: number, code: string, own: Partial<Block>): Block => ({
  id,
  propertyId: 1,
  code,
  name: code,
  sequenceKey: 'cedar',
  sequenceStartsOn: isoDate('2024-07-01'),
  firstCycle: 1,
  rotation: null,
  heldUntilYear: null,
  heldReason: '',
  prescriptionKey: 'litter',
  burnPeopleLeast: 6,
  burnLimits: noBurnLimits,
  readiness: {
    planSignedBy: null,
    planExpiresOn: null,
    consentUntil: null,
    noticesGivenOn: null,
    permitUntil: null,
    permitNotNeeded: true,
    fuelCheckedOn: null,
    peopleNamed: false,
    roles: [],
  },
  ...own,
});

export const entry = (
  id: number,
  unitId: number,
  treatmentKey: string,
  doneOn: string,
  own: Partial<WorkEntry> = {},
): WorkEntry => ({
  id,
  unitId,
  treatmentKey,
  taskKey: null,
  startedOn: null,
  doneOn: isoDate(doneOn),
  precision: 'day',
  outcome: 'done',
  reason: '',
  areaAcres: null,
  crewDays: null,
  personHours: null,
  shareBlackPercent: null,
  fireCause: treatmentKey === 'burn' ? 'planned' : null,
  signedOutOn: null,
  note: '',
  ...own,
});

const line = (id: number, unitIds: number[], lengthFeet: number, kind: 'blown' | 'road') => ({
  id,
  propertyId: 1,
  name: `line ${id}`,
  kind,
  lengthFeet,
  widthFeet: null,
  unitIds,
  readyOn: null,
  goodUntil: null,
  path: null,
});

const range = (startsOn: string, endsBefore: string) => ({
  startsOn: isoDate(startsOn),
  endsBefore: isoDate(endsBefore),
});

export function smallOperation(): Operation {
  return structuredClone<Operation>({
    lineKinds: [],
    burnSteps: [],
    followUps: [],
    stateRules: [],
    papers: [],
    sheetTables: noSheetTables,
    landowners: [{ id: 1, name: 'Ash Hollow Trust', contact: '' }],
    properties: [marlRidge],
    units: [
      unit(1, 'N1', 20),
      unit(2, 'N2', 15, { tags: ['near-roost'] }),
      unit(3, 'N3', 25),
      unit(5, 'F5', 10, { tags: ['contract-land'] }),
    ],
    blocks: [
      block(1, 'N1', { firstCycle: 2 }),
      block(2, 'N2', {}),
      block(3, 'N3', { sequenceKey: null }),
      block(5, 'F5', { sequenceKey: 'field', prescriptionKey: null }),
    ],
    lines: [line(1, [1], 2400, 'blown'), line(2, [2], 1600, 'blown'), line(3, [1, 2], 900, 'road')],
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
    neighbours: [
      { unitIds: [1, 3], sharedFeet: 700, rule: 'apart' },
      { unitIds: [1, 2], sharedFeet: 900, rule: null },
    ],
    crews: [
      {
        id: 1,
        name: 'Home crew',
        kind: 'home',
        peopleCount: 4,
        skills: ['saw', 'fire', 'herbicide'],
        workdays: [1, 2, 3, 4, 5],
        daysOff: [range('2026-11-12', '2026-11-13')],
        onSpans: null,
        costPerDayUsd: 900,
        spreadDaysPerWeek: 4,
      },
      {
        id: 2,
        name: 'Burn help',
        kind: 'help',
        peopleCount: 3,
        skills: ['fire'],
        workdays: [1, 2, 3, 4, 5, 6],
        daysOff: [],
        onSpans: null,
        costPerDayUsd: 0,
        spreadDaysPerWeek: 0,
      },
      {
        id: 3,
        name: 'Saw crew',
        kind: 'contract',
        peopleCount: 3,
        skills: ['saw'],
        workdays: [1, 2, 3, 4, 5],
        daysOff: [],
        onSpans: [range('2026-11-30', '2026-12-19')],
        costPerDayUsd: 1500,
        spreadDaysPerWeek: 5,
      },
    ],
    gear: [
      { key: 'burn-trailer', name: 'Burn trailer', count: 1, daysOff: [] },
      { key: 'sprayer', name: 'Sprayer', count: 1, daysOff: [range('2027-07-26', '2027-08-01')] },
    ],
    holidays: [{ date: isoDate('2026-11-26'), name: 'Thanksgiving' }],
    entries: [
      entry(1, 1, 'burn', '2024-03-01', { shareBlackPercent: 90 }),
      entry(2, 3, 'burn', '2025-12-02'),
    ],
    approvals: [],
    heldDates: [],
    communities: [],
    treatments,
    sequences,
    noWork: [
      {
        ...invented,
        key: 'rifle-season',
        name: 'Rifle season',
        state: null,
        propertyId: 1,
        reason: 'hunters',
        authority: 'owner',
        firmness: 'hard',
        opens: at('11-14'),
        closes: at('11-24'),
        asOf: '2026',
        applies: {
          families: ['line'],
          treatmentKeys: null,
          unitTags: [],
          stemInchesOver: null,
          speciesGroups: [],
          contractFrom: null,
          contractTo: null,
        },
      },
      {
        ...invented,
        key: 'nesting',
        name: 'Nesting season of the contract',
        state: 'MO',
        propertyId: null,
        reason: 'nests',
        authority: 'contract',
        firmness: 'ask-first',
        opens: at('05-01'),
        closes: at('07-15'),
        asOf: '2026',
        applies: {
          families: ['spray'],
          treatmentKeys: null,
          unitTags: ['contract-land'],
          stemInchesOver: null,
          speciesGroups: [],
          contractFrom: null,
          contractTo: null,
        },
      },
    ],
    cautions: [],
    prescriptions: [],
    fitDays: [
      {
        prescriptionKey: 'litter',
        fitDays: Array.from({ length: 24 }, () => 6),
        origin: 'entered',
        label: '',
      },
    ],
    settings: {
      supply: { level: 'half', weekdayShare: 5 / 7, usedShare: 0.4 },
      weights: weightsDefault,
      seasonsAfter: 2,
      shareBlackPercentLeast: 60,
    },
  });
}

/** A task with its crew days as [crew, date, tenths]. */
function task(
  key: string,
  treatmentKey: string,
  dates: [string, string],
  crewDays: [number, string, number][],
  own: Partial<PlannedTask> = {},
): PlannedTask {
  const [place = '', sequenceKey = '', stepKey = '', cycle = '', part = ''] = key.split('/');
  const id = Number(place.split(':')[1]);
  const crewIds = [...new Set(crewDays.map(([crewId]) => crewId))];
  const kind = treatments.find((one) => one.key === treatmentKey);
  const gearDays = [...new Set(crewDays.map(([, date]) => date))];
  return {
    key,
    propertyId: 1,
    blockId: id,
    unitId: place.startsWith('unit') ? id : null,
    sequenceKey,
    stepKey,
    cycle: Number(cycle),
    part,
    name: stepKey,
    treatmentKey,
    family: kind?.family ?? 'line',
    areaAcres: id === 1 ? 20 : id === 2 ? 15 : 10,
    startsOn: isoDate(dates[0]),
    lastDay: isoDate(dates[1]),
    isWhenFit: kind?.family === 'burn',
    tiedToKey: null,
    crewIds,
    crewDaysTenths: crewDays.reduce((sum, [, , tenths]) => sum + tenths, 0),
    crewShares: crewIds.map((crewId) => ({
      crewId,
      days: crewDays
        .filter(([own]) => own === crewId)
        .map(([, date, tenths]) => ({ date: isoDate(date), tenths })),
    })),
    gearShares: (kind?.gear ?? []).map((gearKey) => ({
      gearKey,
      days: gearDays.map((date) => ({ date: isoDate(date), tenths: 10 })),
    })),
    dueOn: null,
    lateDays: 0,
    isHeld: false,
    cost: 0,
    because: [],
    ...own,
  };
}

export const keys = {
  line1: 'block:1/cedar/line/2/-',
  clear1: 'block:1/cedar/clear/2/-',
  burn1: 'block:1/cedar/burn/2/-',
  patrol1: 'block:1/cedar/patrol/2/-',
  fell2: 'unit:2/cedar/fell/1/-',
  line2: 'block:2/cedar/line/1/-',
  clear2: 'block:2/cedar/clear/1/-',
  burn2: 'block:2/cedar/burn/1/-',
  patrol2: 'block:2/cedar/patrol/1/-',
  spray5: 'unit:5/field/spray/1/-',
};

/** A day of five hours. */
export const litterPrescription: Prescription = {
  key: 'litter',
  name: 'Litter',
  use: 'work',
  temperatureF: { least: 35, most: 80 },
  rhPercent: { least: 30, most: 60 },
  windMph: { least: 5, most: 15 },
  fromHour: 11,
  toHour: 15,
  hoursInRow: 3,
  dryDaysBefore: 2,
  wettingRainInches: 0.1,
  rainEndsRun: true,
  missingRain: 'unknown',
  note: '',
  status: 'default-to-edit',
  source: 'invented for the test',
};

export const burnTask = (key: string, span: [string, string], reservedOn: string) =>
  task(key, 'burn', span, [
    [1, reservedOn, 10],
    [2, reservedOn, 10],
  ]);

export function validPlan(): PlanContent {
  const span1: [string, string] = ['2027-01-04', '2027-01-17'];
  const span2: [string, string] = ['2028-01-03', '2028-01-16'];
  const [tied1, tied2] = [{ tiedToKey: keys.burn1 }, { tiedToKey: keys.burn2 }];
  return {
    madeOn: isoDate('2026-11-09'),
    horizon: range('2026-11-09', '2029-07-01'),
    seed: 1,
    iterations: 100,
    seconds: 1,
    version: '0',
    cost: 0,
    bound: null,
    tasks: [
      task(keys.line1, 'line-build', ['2026-11-10', '2026-11-10'], [[1, '2026-11-10', 10]]),
      burnTask(keys.burn1, span1, '2027-01-05'),
      task(keys.clear1, 'line-clear', span1, [[1, '2027-01-04', 5]], tied1),
      task(keys.patrol1, 'patrol', span1, [[1, '2027-01-06', 5]], tied1),
      task(
        keys.fell2,
        'fell',
        ['2026-12-07', '2026-12-11'],
        ['07', '08', '09', '10', '11'].map((day) => [3, `2026-12-${day}`, 10]),
      ),
      task(keys.line2, 'line-build', ['2027-11-30', '2027-11-30'], [[1, '2027-11-30', 5]]),
      burnTask(keys.burn2, span2, '2028-01-04'),
      task(keys.clear2, 'line-clear', span2, [[1, '2028-01-03', 5]], tied2),
      task(keys.patrol2, 'patrol', span2, [[1, '2028-01-05', 5]], tied2),
      task(
        keys.spray5,
        'spray',
        ['2027-07-19', '2027-07-20'],
        [
          [1, '2027-07-19', 10],
          [1, '2027-07-20', 5],
        ],
      ),
    ],
    leftOut: [],
    later: [],
  };
}
