import { type Block, noBurnLimits, type Readiness } from '../blocks.ts';
import { weightsDefault } from '../costs.ts';
import { addDays, addYears, firstDayIn, type IsoDate, monthDay, yearOf } from '../dates.ts';
import type { LandContent } from '../library.ts';
import type { Line, LineKind } from '../lines.ts';
import type { NeighbourPair, NeighbourRule, Property } from '../properties.ts';
import { shareBlackPercentLeastDefault } from '../rotation.ts';
import { burningSeasonStart } from '../seasons.ts';
import type { Unit } from '../units.ts';
import { supplySettingsDefault } from '../weather/supply.ts';
import { sampleContracts } from './contracts.ts';
import { leafFall, leafOut, pastDays, sampleEntries, sequenceStart } from './history.ts';
import { samplePapers } from './papers.ts';
import { sampleCrews, sampleGear, sampleHolidays } from './people.ts';
import { longHollow, meadowBench, sampleBlocks, sampleUnits } from './places.ts';
import { sampleRecords, sampleRoles } from './records.ts';
import { cellsOf, type Edge, edgesOf, type Patchwork } from './subdivision.ts';
import { sampleVisits } from './visits.ts';
import { sampleWhatIfs } from './what-ifs.ts';
import { sampleDetails } from './work-details.ts';

const burningSeasonStartsAt = monthDay('07-01');

function property(id: number, name: string, { longitude, latitude }: Patchwork): Property {
  return {
    id,
    landownerId: id,
    name,
    state: 'MO',
    county: 'Bellhaven',
    timeZone: 'America/Chicago',
    latitude,
    longitude,
    burningSeasonStart: burningSeasonStartsAt,
    growingSeasonEnd: monthDay('10-01'),
    anchors: {
      usual: {
        'leaf-out': leafOut,
        'leaf-fall': leafFall,
        'green-up': monthDay('03-20'),
        'warm-season-start': monthDay('04-25'),
      },
      byYear: [],
    },
    neighbourRule: 'no-matter',
    isSample: true,
  };
}

function units(): Unit[] {
  const cells = [longHollow, meadowBench].flatMap((land, index) =>
    cellsOf(land).map((cell) => ({ ...cell, propertyId: index + 1 })),
  );
  return sampleUnits.flatMap((row, index): Unit[] => {
    const cell = cells.find((one) => one.code === row.code);
    if (!cell) return [];
    const { propertyId, boundary, areaAcres, perimeterFeet } = cell;
    const blockId = sampleBlocks.findIndex((block) => block.codes.includes(row.code)) + 1;
    const measured = { areaAcres, measuredAcres: areaAcres, perimeterFeet, boundary };
    return [{ id: index + 1, propertyId, blockId, ...row, ...measured }];
  });
}

const nothingOnFile: Readiness = {
  planSignedBy: null,
  planExpiresOn: null,
  consentUntil: null,
  noticesGivenOn: null,
  permitUntil: null,
  permitNotNeeded: false,
  fuelCheckedOn: null,
  peopleNamed: false,
  roles: [],
};

function readiness(onFile: (typeof sampleBlocks)[number]['onFile'], today: IsoDate): Readiness {
  const seasonStart = burningSeasonStart(today, burningSeasonStartsAt);
  const lately = addDays(today, -14);
  const thisSeason = lately < seasonStart ? seasonStart : lately;
  const ends = addYears(seasonStart, 1);
  if (onFile === 'nothing') return nothingOnFile;
  const consent = { ...nothingOnFile, consentUntil: ends, permitNotNeeded: true };
  if (onFile === 'little') return consent;
  const plan = { ...consent, planSignedBy: 'T. Arden', planExpiresOn: addYears(ends, 1) };
  if (onFile === 'plan') return plan;
  return { ...plan, noticesGivenOn: thisSeason, fuelCheckedOn: thisSeason, peopleNamed: true };
}

function blocks(all: readonly Unit[], today: IsoDate): Block[] {
  const day = pastDays(today);
  return sampleBlocks.map((row, index): Block => {
    const own = all.filter((unit) => row.codes.includes(unit.code));
    const isHeld = row.codes.includes('W2');
    return {
      id: index + 1,
      propertyId: own[0]?.propertyId ?? 1,
      code: row.codes.join('-'),
      name: row.name || (own[0]?.name ?? ''),
      sequenceKey: row.sequenceKey,
      sequenceStartsOn: sequenceStart(row.codes[0] ?? '', day),
      firstCycle: row.firstCycle,
      rotation: null,
      heldUntilYear: isHeld ? yearOf(today) + 3 : null,
      heldReason: isHeld ? 'young oaks have to grow out of reach of fire' : '',
      prescriptionKey: row.prescriptionKey,
      burnPeopleLeast: row.codes.length > 1 ? 7 : 6,
      readiness: {
        ...readiness(row.onFile, today),
        roles: sampleRoles[row.codes.join(' ')] ?? [],
      },
      burnLimits: noBurnLimits,
    };
  });
}

const isGrass = (unit: Unit) =>
  unit.communityKey === 'tallgrass-prairie' || unit.communityKey === 'old-field';

/** Lines in grass are mown between units and disked on the outside, one field has a green one; in the woods they are blown. */
function lineKind(edge: Edge, sides: readonly Unit[]): LineKind {
  if (edge.kind !== 'field') return edge.kind;
  if (!sides.some(isGrass)) return 'blown';
  if (sides.length > 1) return 'mown';
  return sides[0]?.code === 'F4' ? 'green' : 'disked';
}

const widthFeet: Record<LineKind, number> = {
  disked: 16,
  mown: 20,
  blown: 8,
  road: 18,
  creek: 12,
  green: 16,
  black: 30,
};

/** Edges that are alike (same sides, same kind) make one line; edges inside a block are no line. */
function lines(all: readonly Unit[], today: IsoDate): Line[] {
  const byName = new Map<string, Line>();
  const isReady = (unit: Unit) =>
    sampleBlocks.some((row) => row.onFile === 'all' && row.codes.includes(unit.code));
  for (const land of [longHollow, meadowBench])
    for (const edge of edgesOf(land)) {
      const sides = edge.codes.flatMap((code) => all.find((unit) => unit.code === code) ?? []);
      const [first, second] = sides;
      if (!first || (second && first.blockId === second.blockId)) continue;
      const kind = lineKind(edge, sides);
      const name = second
        ? `${first.code} to ${second.code}, ${kind}`
        : `${first.code} outside, ${kind}`;
      const known = byName.get(name);
      if (known) {
        known.lengthFeet += edge.lengthFeet;
        known.path?.push(edge.path);
      } else
        byName.set(name, {
          id: byName.size + 1,
          propertyId: first.propertyId,
          name,
          kind,
          lengthFeet: edge.lengthFeet,
          widthFeet: widthFeet[kind],
          unitIds: sides.map((unit) => unit.id),
          ...lineState(kind, sides.some(isReady), today),
          path: [edge.path],
        });
    }
  return [...byName.values()];
}

function lineState(kind: LineKind, isReady: boolean, today: IsoDate) {
  if (kind === 'road' || kind === 'creek')
    return { readyOn: addDays(today, -300), goodUntil: null };
  if (isReady) return { readyOn: addDays(today, -12), goodUntil: addDays(today, 150) };
  if (kind === 'blown') return { readyOn: null, goodUntil: null };
  return { readyOn: addDays(today, -330), goodUntil: addDays(today, -130) };
}

/** The rule of a pair where it is not the property's: two glades apart, so that one always has cover. */
const pairRules: Record<string, NeighbourRule> = { 'N7 N8': 'apart' };

function neighbours(all: readonly Unit[]): NeighbourPair[] {
  return [longHollow, meadowBench].flatMap(edgesOf).flatMap((edge): NeighbourPair[] => {
    const [a, b] = edge.codes.map((code) => all.find((unit) => unit.code === code));
    if (!a || !b) return [];
    const unitIds: [number, number] = a.id < b.id ? [a.id, b.id] : [b.id, a.id];
    const rule = a.blockId === b.blockId ? 'together' : (pairRules[edge.codes.join(' ')] ?? null);
    return [{ unitIds, sharedFeet: edge.lengthFeet, rule }];
  });
}

/**
 * The sample land: two invented properties, 32 units and about 1,100 acres of savanna, woodland, glade, prairie and
 * old field, with people, lines and a work log. Every date hangs on `today`. The same day gives the same land.
 */
export function sampleLand(today: IsoDate): LandContent {
  const all = units();
  const fescueFlat = all.find((unit) => unit.code === 'F2');
  const crews = sampleCrews(today);
  const allBlocks = blocks(all, today);
  const entries = sampleEntries(all, today);
  const seasonEnds = addYears(burningSeasonStart(today, burningSeasonStartsAt), 1);
  const nextMay = firstDayIn(
    yearOf(today) + (today >= `${yearOf(today)}-05-01` ? 1 : 0),
    monthDay('05-01'),
  );
  return {
    landowners: [
      { id: 1, name: 'Marlow family', contact: 'by phone, evenings' },
      { id: 2, name: 'Ines Calder', contact: 'office at the barn' },
    ],
    properties: [property(1, 'Long Hollow', longHollow), property(2, 'Meadow Bench', meadowBench)],
    units: all,
    blocks: allBlocks,
    lines: lines(all, today),
    neighbours: neighbours(all),
    ...sampleRecords(all, crews, seasonEnds, today),
    contracts: sampleContracts(all, today),
    ownRates: [],
    crews,
    gear: structuredClone(sampleGear),
    holidays: sampleHolidays(today),
    entries,
    details: sampleDetails(entries, today),
    whatIfs: sampleWhatIfs(crews.find(({ kind }) => kind === 'contract')?.id ?? 0, today),
    ...sampleVisits(all, today),
    approvals: fescueFlat
      ? [
          {
            noWorkKey: 'nest-mo',
            unitId: fescueFlat.id,
            from: nextMay,
            until: addDays(nextMay, 30),
            grantedBy: 'county program office',
          },
        ]
      : [],
    heldDates: [],
    papers: samplePapers(allBlocks, all, today),
    settings: {
      supply: { ...supplySettingsDefault },
      weights: { ...weightsDefault },
      seasonsAfter: 2,
      shareBlackPercentLeast: shareBlackPercentLeastDefault,
    },
  };
}
