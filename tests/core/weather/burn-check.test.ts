import { describe, expect, test } from 'vitest';
import { isoDate } from '../../../src/core/dates.ts';
import type { Operation } from '../../../src/core/operation.ts';
import {
  type BlockDay,
  blockDay,
  blocksForDay,
  type CheckFacts,
  hoursAfter,
  programmeOf,
} from '../../../src/core/weather/burn-check.ts';
import { hoursOfReadings } from '../../../src/core/weather/hours.ts';
import type { HourReading } from '../../../src/core/weather/readings.ts';
import { noWeatherTables } from '../../../src/core/weather/tables.ts';
import { fakeEntry, fakeOperation } from '../../support/operation.ts';
import { fakePlan } from '../../support/plan.ts';

const day = isoDate('2027-02-10');
const clock = { standardOffsetMinutes: -360 };

/** Six days from 7 February 2027, each hour alike but for what `of` changes by local hour since the first. */
function weather(of: (hour: number) => Partial<HourReading> = () => ({})) {
  const first = Date.UTC(2027, 1, 7, 6);
  const readings = Array.from({ length: 6 * 24 }, (_, hour) => ({
    at: `${new Date(first + hour * 3_600_000).toISOString().slice(0, 13)}:00Z`,
    temperatureC: 12,
    rhPercent: 45,
    windMs: 4,
    gustMs: 6,
    windFromDegrees: 200,
    rainMm: 0,
    snowCm: 0,
    ...of(hour),
  }));
  return { weather: hoursOfReadings(readings), clock, tables: noWeatherTables };
}

function facts(own: Partial<CheckFacts> = {}): CheckFacts {
  const fit = weather();
  return {
    today: day,
    weatherOf: () => fit,
    fitDaysOf: () => null,
    useByOf: () => null,
    switchesMissing: () => [],
    ...own,
  };
}

/** Two burns ahead: one of block 1 and one of block 2, both with everything on file. */
function setting(change: (operation: Operation) => void = () => {}) {
  const operation = fakeOperation();
  for (const block of operation.blocks)
    block.readiness = {
      planSignedBy: 'R. Hale',
      planExpiresOn: isoDate('2027-06-30'),
      consentUntil: isoDate('2027-06-30'),
      noticesGivenOn: isoDate('2026-11-01'),
      permitUntil: null,
      permitNotNeeded: true,
      fuelCheckedOn: isoDate('2026-11-01'),
      peopleNamed: true,
      roles: [],
    };
  for (const line of operation.lines)
    Object.assign(line, { readyOn: isoDate('2027-02-09'), goodUntil: null });
  for (const crew of operation.crews)
    if (crew.kind === 'home')
      Object.assign(crew, { peopleCount: 8, skills: ['fire', 'saw'], daysOff: [] });
  operation.entries = [];
  change(operation);
  const plan = fakePlan().content;
  const burn = plan.tasks.find((task) => task.isWhenFit)!;
  plan.tasks = [1, 2].map((blockId) => ({
    ...burn,
    key: `block:${blockId}/cedar-woodland/burn/1/-`,
    blockId,
    propertyId: 1,
    startsOn: isoDate('2027-02-08'),
    lastDay: isoDate('2027-02-21'),
  }));
  return { operation, plan };
}

const codes = (list: BlockDay[]) => list.map((one) => one.block.id);

describe('blocks in order for a day', () => {
  test('what is missing goes after what is ready', () => {
    const { operation, plan } = setting((land) => {
      land.blocks[0]!.readiness.planSignedBy = null;
    });
    expect(codes(blocksForDay(operation, plan, facts(), day))).toEqual([2, 1]);
  });

  test('a block outside its limits goes last, however much it waits for fire', () => {
    const { operation, plan } = setting((land) => {
      land.blocks[0]!.burnLimits = { windFrom: ['N'], gustMphMost: null, canopyPercent: null };
    });
    const list = blocksForDay(
      operation,
      plan,
      facts({ fitDaysOf: (key) => (key.startsWith('block:1/') ? 1 : 30) }),
      day,
    );
    expect(list.map((one) => [one.block.id, one.finding?.verdict])).toEqual([
      [2, 'fit'],
      [1, 'unfit'],
    ]);
  });

  test('a variable wind is not known for a block with sectors, and never inside', () => {
    const { operation, plan } = setting((land) => {
      land.blocks[0]!.burnLimits = { windFrom: ['S'], gustMphMost: null, canopyPercent: null };
    });
    const variable = weather(() => ({ windFromDegrees: null }));
    const one = blockDay(
      operation,
      plan,
      facts({ weatherOf: () => variable }),
      operation.blocks[0]!,
      day,
    );
    expect(one?.finding?.verdict).toBe('unknown');
  });

  test('rare days first', () => {
    const { operation, plan } = setting();
    const rare = facts({ fitDaysOf: (key) => (key.startsWith('block:2/') ? 2 : 30) });
    expect(codes(blocksForDay(operation, plan, rare, day))).toEqual([2, 1]);
  });

  test('felled fuel near its use-by first', () => {
    const { operation, plan } = setting();
    const near = facts({ useByOf: (id) => (id === 2 ? isoDate('2027-02-20') : null) });
    const list = blocksForDay(operation, plan, near, day);
    expect(codes(list)).toEqual([2, 1]);
    expect(list[0]?.claim.closesInDays).toBe(10);
  });

  test('a county switch that is not known to be off is missing', () => {
    const { operation, plan } = setting();
    const list = blocksForDay(
      operation,
      plan,
      facts({ switchesMissing: () => ['burn ban on'] }),
      day,
    );
    expect(list.map((one) => one.missing)).toEqual([['burn ban on'], ['burn ban on']]);
  });

  test('a neighbour that burned this season is black', () => {
    const black = (unitIds: [number, number], doneOn: string) => {
      const { operation, plan } = setting((land) => {
        const burn = land.treatments.find((one) => one.family === 'burn')!;
        const [own, other] = [1, 2].map((id) => land.units.find((unit) => unit.blockId === id)!.id);
        land.neighbours = [
          {
            unitIds: [own, other].map((id, at) => unitIds[at] ?? id) as [number, number],
            sharedFeet: 500,
            rule: null,
          },
        ];
        land.entries = [fakeEntry(1, other as number, burn.key, doneOn)];
      });
      return blockDay(operation, plan, facts(), operation.blocks[0]!, day)?.claim.hasBlackNeighbour;
    };
    const both = [] as unknown as [number, number];
    expect(black(both, '2027-01-15')).toBe(true);
    expect(black(both, '2026-06-30')).toBe(false);
    expect(black([998, 999], '2027-01-15')).toBe(false);
  });

  test('a burn that the log answers is no longer ahead', () => {
    const { operation, plan } = setting((land) => {
      const burn = land.treatments.find((one) => one.family === 'burn')!;
      const unit = land.units.find((one) => one.blockId === 1)!;
      land.entries = [
        fakeEntry(1, unit.id, burn.key, '2027-02-09', {
          taskKey: 'block:1/cedar-woodland/burn/1/-',
        }),
      ];
    });
    expect(codes(blocksForDay(operation, plan, facts(), day))).toEqual([2]);
  });
});

describe('the programme of the day', () => {
  const programme = (own: Partial<CheckFacts>, change?: (operation: Operation) => void) => {
    const { operation, plan } = setting(change);
    const list = blocksForDay(operation, plan, facts(own), day);
    return { list, ...programmeOf(operation, list, 1, clock, day) };
  };

  test('holds what is inside, staffed and has nothing missing, one fire at a time', () => {
    const { stops, list } = programme({});
    expect(stops.length).toBeGreaterThan(0);
    expect(stops[0]?.key).toBe(list[0]?.block.code);
    const [first, second] = stops;
    if (first && second) expect(second.lightFrom).toBeGreaterThanOrEqual(first.secureUntil);
  });

  test.each<[string, Partial<CheckFacts>, ((operation: Operation) => void) | undefined]>([
    ['a county switch is not off', { switchesMissing: () => ['red flag on'] }, undefined],
    ['the weather is not known', { weatherOf: () => null }, undefined],
    [
      'there are too few people',
      {},
      (land) => {
        for (const crew of land.crews) crew.peopleCount = 1;
      },
    ],
  ])('is empty when %s', (_name, own, change) => {
    expect(programme(own, change)).toMatchObject({ stops: [], left: [] });
  });
});

describe('the 72 hours after', () => {
  test('take the highest wind and gust and the lowest humidity of six hours; what is missing is unknown', () => {
    const rows = hoursAfter(
      weather((hour) => ({
        ...(hour === 3 * 24 + 18 ? { windMs: 9, gustMs: 15, rhPercent: 22 } : {}),
        ...(hour >= 4 * 24 + 3 ? { gustMs: null } : {}),
      })),
      day,
      15,
    );
    expect(rows).toHaveLength(12);
    // 9 m/s = 20.1 mph, 15 m/s = 33.6 mph (1 mph = 0.44704 m/s, exact).
    expect(rows[0]).toMatchObject({
      day: '2027-02-10',
      fromHour: 15,
      untilHour: 21,
      lowestRhPercent: 22,
    });
    expect(rows[0]?.windMph).toBeCloseTo(20.13, 2);
    expect(rows[0]?.gustMph).toBeCloseTo(33.55, 2);
    expect(rows[2]).toMatchObject({ day: '2027-02-11', fromHour: 3, gustMph: null, shift: 'none' });
    // The readings end at midnight after 12 February.
    expect(rows[11]).toMatchObject({ windMph: null, lowestRhPercent: null, shift: 'unknown' });
  });

  test.each([
    ['none', 230, 12],
    ['shift', 250, 12],
    ['shift', 250, 9.5],
    ['front', 320, 8],
  ])(
    'a turn is %s when the wind turns from 200 to %d degrees and the air is %d C',
    (shift, degrees, temperatureC) => {
      const turned = weather((hour) =>
        hour >= 3 * 24 + 18 ? { windFromDegrees: degrees, temperatureC } : {},
      );
      expect(hoursAfter(turned, day, 15)[0]?.shift).toBe(shift);
    },
  );
});
