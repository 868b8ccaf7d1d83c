import { type Block, noBurnLimits } from '../../src/core/blocks.ts';
import { weightsDefault } from '../../src/core/costs.ts';
import { type IsoDate, isoDate, monthDay } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { Property } from '../../src/core/properties.ts';
import type { Sequence } from '../../src/core/sequences.ts';
import type { Source } from '../../src/core/sources.ts';
import type { Treatment } from '../../src/core/treatments.ts';
import type { Boundary, Unit } from '../../src/core/units.ts';
import { supplySettingsDefault } from '../../src/core/weather/supply.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';

/** The day on which the invented operation is looked at: a Monday in the fall. */
export const fakeToday: IsoDate = isoDate('2026-11-09');

/** All rows below are invented for the tests, so none of them claims a published source. */
const invented: Source = { status: 'default-to-edit', source: '' };

function property(id: number, name: string, state: string): Property {
  return {
    id,
    landownerId: id,
    name,
    state,
    county: id === 1 ? 'Marl' : 'Sedge',
    timeZone: 'America/Chicago',
    latitude: 37.2,
    longitude: -92.1,
    burningSeasonStart: monthDay('07-01'),
    growingSeasonEnd: monthDay('10-01'),
    anchors: {
      usual: {
        'leaf-out': monthDay('04-12'),
        'leaf-fall': monthDay('11-05'),
        'green-up': monthDay('03-20'),
        'warm-season-start': monthDay('05-01'),
      },
      byYear: [],
    },
    neighbourRule: 'no-matter',
    isSample: true,
  };
}

/** A square of land, `column` and `row` steps east and north of a corner. */
function square(column: number, row: number): Boundary {
  const west = -92.1 + column * 0.005;
  const south = 37.2 + row * 0.004;
  const ring = [
    [west, south],
    [west + 0.005, south],
    [west + 0.005, south + 0.004],
    [west, south + 0.004],
    [west, south],
  ];
  return { type: 'Polygon', coordinates: [ring] };
}

function unit(id: number, blockId: number, code: string, name: string, own: Partial<Unit>): Unit {
  return {
    id,
    propertyId: 1,
    blockId,
    code,
    name,
    areaAcres: 20,
    measuredAcres: 20,
    perimeterFeet: 3800,
    communityKey: 'oak-woodland',
    aspect: 'S',
    slopePercent: 12,
    densityClass: 'moderate',
    tags: [],
    boundary: square((id - 1) % 3, Math.floor((id - 1) / 3)),
    ...own,
  };
}

function block(id: number, code: string, name: string, own: Partial<Block>): Block {
  return {
    id,
    propertyId: 1,
    code,
    name,
    sequenceKey: 'cedar-woodland',
    sequenceStartsOn: isoDate('2024-07-01'),
    firstCycle: 1,
    rotation: null,
    heldUntilYear: null,
    heldReason: '',
    prescriptionKey: 'hardwood-litter',
    burnPeopleLeast: 6,
    burnLimits: noBurnLimits,
    readiness: {
      planSignedBy: null,
      planExpiresOn: null,
      consentUntil: null,
      noticesGivenOn: null,
      permitUntil: null,
      permitNotNeeded: false,
      fuelCheckedOn: null,
      peopleNamed: false,
      roles: [],
    },
    ...own,
  };
}

function treatment(key: string, name: string, own: Partial<Treatment>): Treatment {
  return {
    ...invented,
    key,
    name,
    family: 'monitor',
    purpose: `${name} of the invented operation.`,
    region: 'OZ',
    scope: 'unit',
    windows: [{ opens: { at: monthDay('10-01') }, closes: { at: monthDay('03-31') } }],
    windowSource: invented,
    rate: { ...invented, basis: 'acre', per: 'crew-day', amount: 4 },
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

const treatments: Treatment[] = [
  treatment('cedar-felling', 'Fell cedar', {
    family: 'cut',
    skills: ['saw'],
    cautionKeys: ['saw'],
  }),
  treatment('cure-check', 'Cure check', { family: 'monitor', duration: 'one-day' }),
  treatment('dormant-burn', 'Dormant-season burn', {
    family: 'burn',
    scope: 'block',
    duration: 'one-day',
    skills: ['fire'],
    gear: ['burn-trailer'],
    cautionKeys: ['fire'],
    windows: [
      {
        opens: { anchor: 'leaf-fall', plusDays: 7 },
        closes: { earlierOf: [{ at: monthDay('04-01') }, { anchor: 'leaf-out', plusDays: -7 }] },
      },
    ],
  }),
  treatment('line-build', 'Make the line', { family: 'line', scope: 'block' }),
  treatment('line-second-pass', 'Blow the line again', { family: 'line', scope: 'block' }),
  treatment('photo-points', 'Photo points', { family: 'monitor', duration: 'one-day' }),
  treatment('foliar-spray', 'Foliar spray', {
    family: 'spray',
    skills: ['herbicide'],
    cautionKeys: ['herbicide'],
    windows: [{ opens: { at: monthDay('10-15') }, closes: { at: monthDay('11-25') } }],
  }),
];

const sequences: Sequence[] = [
  {
    ...invented,
    key: 'cedar-woodland',
    name: 'Cedar out, then fire',
    purpose: 'Fell the cedar, let it cure, burn it, and bring fire back.',
    phase: 'restoration',
    rotation: { phase: 'restoration', leastSeasons: 2, targetYears: 2, mostYears: 3 },
    partsCount: 1,
    repeat: { kind: 'rotation', stepKey: 'burn', years: 0 },
    steps: [
      {
        key: 'fell',
        name: 'Fell cedar',
        treatmentKeys: ['cedar-felling'],
        cycles: 'first',
        lags: [],
        tiedTo: null,
        tiedDays: 0,
        shareOfAcres: 1,
        note: '',
      },
      {
        key: 'cure-check',
        name: 'Cure check',
        treatmentKeys: ['cure-check'],
        cycles: 'first',
        lags: [
          {
            afterStepKey: 'fell',
            cycle: 'same',
            kind: 'fixed',
            least: { days: 300 },
            target: null,
            most: null,
            mostIsHard: false,
            link: 'needs',
          },
        ],
        tiedTo: null,
        tiedDays: 0,
        shareOfAcres: 1,
        note: '',
      },
      {
        key: 'line',
        name: 'Make the line',
        treatmentKeys: ['line-build'],
        cycles: 'every',
        lags: [],
        tiedTo: null,
        tiedDays: 0,
        shareOfAcres: 1,
        note: '',
      },
      {
        key: 'second-pass',
        name: 'Blow the line again',
        treatmentKeys: ['line-second-pass'],
        cycles: 'every',
        lags: [],
        tiedTo: 'burn',
        tiedDays: 0,
        shareOfAcres: 1,
        note: '',
      },
      {
        key: 'burn',
        name: 'Dormant-season burn',
        treatmentKeys: ['dormant-burn'],
        cycles: 'every',
        lags: [
          {
            afterStepKey: 'fell',
            cycle: 'same',
            kind: 'fixed',
            least: { days: 300, growingSeasons: 1 },
            target: { growingSeasons: 2 },
            most: { growingSeasons: 3 },
            mostIsHard: false,
            link: 'needs',
          },
          {
            afterStepKey: 'line',
            cycle: 'same',
            kind: 'fixed',
            least: { days: 0 },
            target: null,
            most: { days: 150 },
            mostIsHard: true,
            link: 'both',
          },
        ],
        tiedTo: null,
        tiedDays: 0,
        shareOfAcres: 1,
        note: '',
      },
    ],
  },
  {
    ...invented,
    key: 'old-field-spray',
    name: 'Old field, spray and watch',
    purpose: 'Keep the old field open without fire.',
    phase: 'none',
    rotation: null,
    partsCount: 1,
    repeat: { kind: 'years', stepKey: 'spray', years: 1 },
    steps: [
      {
        key: 'spray',
        name: 'Foliar spray',
        treatmentKeys: ['foliar-spray'],
        cycles: 'every',
        lags: [],
        tiedTo: null,
        tiedDays: 0,
        shareOfAcres: 1,
        note: '',
      },
    ],
  },
];

/** A plain finished entry; tests change what they need. */
export function fakeEntry(
  id: number,
  unitId: number,
  treatmentKey: string,
  doneOn: string,
  own: Partial<WorkEntry> = {},
): WorkEntry {
  return {
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
    fireCause: treatmentKey.endsWith('burn') ? 'planned' : null,
    signedOutOn: treatmentKey.endsWith('burn') ? isoDate(doneOn) : null,
    note: '',
    ...own,
  };
}

const entries: WorkEntry[] = [
  fakeEntry(1, 1, 'dormant-burn', '2023-06-15', { signedOutOn: isoDate('2023-06-18') }),
  fakeEntry(2, 2, 'cedar-felling', '2024-12-12', { areaAcres: 31, crewDays: 12 }),
  fakeEntry(3, 3, 'dormant-burn', '2026-03-02', { shareBlackPercent: 85 }),
  fakeEntry(4, 4, 'foliar-spray', '2026-11-06', {
    outcome: 'under-way',
    areaAcres: 6,
    taskKey: 'unit:4/old-field-spray/spray/1/-',
  }),
  fakeEntry(5, 6, 'dormant-burn', '2026-11-07', { shareBlackPercent: 70, signedOutOn: null }),
  fakeEntry(6, 8, 'dormant-burn', '2024-01-20', { precision: 'month' }),
];

/**
 * A small invented operation: two properties, eight units in seven blocks, one in each of the states that the
 * pages have to tell apart (overdue, curing, within, no fire planned, held, still open, no fire on record).
 */
export function fakeOperation(): Operation {
  return structuredClone({
    landowners: [
      { id: 1, name: 'Fernhill Land Trust', contact: 'office at the gate' },
      { id: 2, name: 'Lower Sedge Cooperative', contact: '' },
    ],
    properties: [property(1, 'Fernhill Ridge', 'MO'), property(2, 'Lower Sedge', 'AR')],
    units: [
      unit(1, 1, 'N1', 'Dogtooth flat', { areaAcres: 22, communityKey: 'oak-savanna' }),
      unit(2, 2, 'N2', 'Two Springs', { areaAcres: 31, densityClass: 'thicket' }),
      unit(3, 3, 'N3', 'Limestone shelf', { areaAcres: 14, communityKey: 'glade' }),
      unit(4, 4, 'S1', 'Old orchard', { areaAcres: 18, communityKey: 'old-field' }),
      unit(5, 5, 'S2', 'Post oak bench', { areaAcres: 44, tags: ['contract-land'] }),
      unit(6, 6, 'E1', 'Hollow edge', { areaAcres: 19 }),
      unit(7, 6, 'E2', 'High gate', { areaAcres: 40 }),
      unit(8, 7, 'P1', 'Creek prairie', {
        areaAcres: 36,
        propertyId: 2,
        communityKey: 'tallgrass-prairie',
        boundary: null,
        measuredAcres: null,
        perimeterFeet: null,
      }),
    ],
    blocks: [
      block(1, 'N1', 'Dogtooth flat', {
        firstCycle: 2,
        readiness: {
          planSignedBy: 'R. Hale',
          planExpiresOn: isoDate('2027-06-30'),
          consentUntil: isoDate('2027-06-30'),
          noticesGivenOn: null,
          permitUntil: null,
          permitNotNeeded: true,
          fuelCheckedOn: isoDate('2026-10-28'),
          peopleNamed: false,
          roles: [],
        },
      }),
      block(2, 'N2', 'Two Springs', {}),
      block(3, 'N3', 'Limestone shelf', { firstCycle: 2 }),
      block(4, 'S1', 'Old orchard', { sequenceKey: 'old-field-spray', prescriptionKey: null }),
      block(5, 'S2', 'Post oak bench', { heldUntilYear: 2030, heldReason: 'oak recruitment' }),
      block(6, 'E', 'Hollow edge and High gate', { firstCycle: 2 }),
      block(7, 'P1', 'Creek prairie', { propertyId: 2, firstCycle: 2 }),
    ],
    lines: [
      {
        id: 1,
        propertyId: 1,
        name: 'North line',
        kind: 'blown',
        lengthFeet: 2400,
        widthFeet: 8,
        unitIds: [1],
        readyOn: null,
        goodUntil: null,
        path: null,
      },
      {
        id: 2,
        propertyId: 1,
        name: 'Ridge road',
        kind: 'road',
        lengthFeet: 1800,
        widthFeet: 12,
        unitIds: [1, 2],
        readyOn: null,
        goodUntil: null,
        path: null,
      },
    ],
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
    neighbours: [{ unitIds: [1, 2], sharedFeet: 1800, rule: null }],
    crews: [
      {
        id: 1,
        name: 'Home crew',
        kind: 'home',
        peopleCount: 4,
        skills: ['saw', 'fire', 'herbicide'],
        workdays: [1, 2, 3, 4, 5],
        daysOff: [{ startsOn: isoDate('2026-12-24'), endsBefore: isoDate('2027-01-04') }],
        onSpans: null,
        costPerDayUsd: 0,
        spreadDaysPerWeek: 4,
      },
      {
        id: 2,
        name: 'Saw contract',
        kind: 'contract',
        peopleCount: 3,
        skills: ['saw'],
        workdays: [1, 2, 3, 4, 5],
        daysOff: [],
        onSpans: [{ startsOn: isoDate('2026-11-16'), endsBefore: isoDate('2027-02-01') }],
        costPerDayUsd: 1450,
        spreadDaysPerWeek: 5,
      },
    ],
    gear: [{ key: 'burn-trailer', name: 'Burn trailer', count: 1, daysOff: [] }],
    holidays: [{ date: isoDate('2026-11-26'), name: 'Thanksgiving' }],
    entries,
    approvals: [],
    heldDates: [],
    papers: [],
    burnSteps: [],
    followUps: [],
    stateRules: [],
    communities: [
      ['oak-savanna', 'Oak savanna', 1, 2, 3],
      ['oak-woodland', 'Oak woodland', 2, 3, 5],
      ['glade', 'Glade', 2, 3, 5],
      ['tallgrass-prairie', 'Tallgrass prairie', 1, 2, 3],
    ]
      .map(([key, name, leastYears, targetYears, mostYears]) => ({
        ...invented,
        key: String(key),
        name: String(name),
        interval: {
          leastYears: Number(leastYears),
          targetYears: Number(targetYears),
          mostYears: Number(mostYears),
        } as Operation['communities'][number]['interval'],
        prescriptionKey: 'hardwood-litter' as string | null,
      }))
      .concat([
        {
          ...invented,
          key: 'old-field',
          name: 'Old field',
          interval: null,
          prescriptionKey: null,
        },
      ]),
    treatments,
    sequences,
    noWork: [
      {
        ...invented,
        key: 'fall-hunt',
        name: 'Firearms deer season',
        state: null,
        propertyId: 1,
        reason: 'people with guns in the woods',
        authority: 'owner',
        firmness: 'hard',
        opens: { at: monthDay('11-01') },
        closes: { at: monthDay('11-24') },
        asOf: '2026',
        applies: {
          families: ['cut'],
          treatmentKeys: null,
          unitTags: [],
          stemInchesOver: null,
          speciesGroups: [],
          contractFrom: null,
          contractTo: null,
        },
      },
    ],
    cautions: [
      {
        ...invented,
        key: 'fire',
        text: 'Fire gets away the next two afternoons.',
        deferTo: 'the signed burn plan and the burn boss in charge',
      },
      {
        ...invented,
        key: 'saw',
        text: 'Nobody fells alone.',
        deferTo: 'the trained sawyer in charge',
      },
      {
        ...invented,
        key: 'herbicide',
        text: 'Wind carries spray.',
        deferTo: 'the label and the licensed applicator',
      },
    ],
    sheetTables: {
      instructions: [
        {
          ...invented,
          key: 'cedar-felling',
          steps: ['Cut below the lowest green limb so that nothing green is left on the stump.'],
        },
      ],
      planElements: [
        { ...invented, key: 'signatures', name: 'Signatures', question: 'Who signed?' },
        { ...invented, key: 'smoke', name: 'Smoke', question: 'Whom may it not reach?' },
      ],
      burnLists: [
        { ...invented, key: 'briefing-goal', list: 'briefing', text: 'What the burn is for.' },
        { ...invented, key: 'patrol-snags', list: 'patrol', text: 'Snags near the line.' },
      ],
    },
    lineKinds: [
      {
        ...invented,
        key: 'blown',
        name: 'Blown line',
        needsWork: true,
        goodForDays: 10,
        staleOn: [],
      },
    ],
    prescriptions: [
      {
        ...invented,
        key: 'hardwood-litter',
        name: 'Hardwood litter',
        use: 'work',
        temperatureF: { least: 35, most: 75 },
        rhPercent: { least: 30, most: 55 },
        windMph: { least: 3, most: 12 },
        fromHour: 11,
        toHour: 16,
        hoursInRow: 3,
        dryDaysBefore: 2,
        wettingRainInches: 0.1,
        rainEndsRun: true,
        missingRain: 'unknown',
        note: '',
      },
    ],
    fitDays: [
      {
        prescriptionKey: 'hardwood-litter',
        fitDays: [2, 2, 2, 3, 3, 3, 2, 2, 1, 1, 1, 1, 0, 0, 1, 1, 1, 2, 2, 3, 3, 3, 2, 2],
        origin: 'entered',
        label: 'entered by hand',
      },
    ],
    settings: {
      supply: { ...supplySettingsDefault },
      weights: { ...weightsDefault },
      seasonsAfter: 2,
      shareBlackPercentLeast: 60,
    },
  } satisfies Operation) as Operation;
}
