import {
  addDays,
  firstDayIn,
  type IsoDate,
  isoDate,
  lastDayIn,
  type MonthDay,
  monthDay,
  yearOf,
} from '../dates.ts';
import type { Unit } from '../units.ts';
import type { WorkEntry } from '../worklog.ts';

/** Usual dates of the anchors on both properties. */
export const leafOut = monthDay('04-12');
export const leafFall = monthDay('11-05');

/**
 * A day of the sample's past. `yearsBack` counts leaf-outs: 0 is the year from October to September around
 * the last leaf-out before `today`, so that all its days up to that leaf-out are past on any day of the year.
 */
export type PastDay = (yearsBack: number, at: string) => IsoDate;

export function pastDays(today: IsoDate): PastDay {
  const year = yearOf(today);
  const leafYear = today >= firstDayIn(year, leafOut) ? year : year - 1;
  return (yearsBack, at) =>
    firstDayIn(leafYear - yearsBack - (at >= '10-01' ? 1 : 0), monthDay(at) as MonthDay);
}

type Own = Partial<WorkEntry>;
/** Unit codes, treatment, years back, month and day, and what else is known. */
type Fact = [string, string, number, string, Own?];

const patrolled: Own = { crewDays: 0.5, personHours: 10 };

/** A burn and what was done after it: patrol, evaluations, photo, regrowth check. */
function burned(codes: string, yearsBack: number, day: string, own: Own = {}): Fact[] {
  const nextDay = addDays(isoDate(`2023-${day}`), 1).slice(5);
  const burn: Own = { shareBlackPercent: 85, crewDays: 2, personHours: 49, ...own };
  return [
    [codes, 'dormant-burn', yearsBack, day, burn],
    [codes, 'patrol', yearsBack, nextDay, patrolled],
    [codes, 'burn-evaluation-1', yearsBack, nextDay],
    [codes, 'after-burn-photo', yearsBack, '04-20'],
    [codes, 'regrowth-check', yearsBack, '06-08'],
    [codes, 'burn-evaluation-2', yearsBack, '09-12'],
  ];
}

const felled = (codes: string, yearsBack: number, day: string, crewDays: number): Fact => [
  codes,
  'cedar-felling',
  yearsBack,
  day,
  { crewDays, personHours: crewDays * 32, note: 'Slash pulled back from the line.' },
];

const fire = (codes: string, yearsBack: number, day: string, own: Own = {}): Fact => [
  codes,
  'dormant-burn',
  yearsBack,
  day,
  { shareBlackPercent: 80, ...own },
];

/** Facts before the day a block's sequence starts: they count for the rotation alone. */
const oldFires: Fact[] = [
  fire('N1', 10, '03-22'),
  fire('N4', 9, '03-14'),
  fire('N5 N6', 6, '03-20'),
  fire('N5 N6', 3, '03-12'),
  fire('N8', 3, '03-02'),
  fire('E5 E6', 8, '02-01', { precision: 'month', shareBlackPercent: null }),
  fire('E7', 6, '03-03'),
  fire('W1', 5, '03-11'),
  fire('W1', 1, '03-26', { fireCause: 'wild', note: 'Came over the west line on a dry wind.' }),
  fire('W2', 3, '02-26'),
  fire('W3', 4, '03-01'),
  fire('W3', 0, '03-18', { shareBlackPercent: 45, reason: 'too damp under the bluff' }),
  fire('P2', 3, '03-15'),
  fire('P3 P4', 3, '03-09'),
  fire('P5', 1, '03-06'),
  fire('G2', 12, '04-02', { fireCause: 'neighbour' }),
  fire('G3', 4, '03-28'),
];

/** Work outside any sequence. */
const otherWork: Fact[] = [
  ['E5 E6', 'hack-and-squirt', 1, '07-20', { crewDays: 4, personHours: 120 }],
  ['P5', 'sericea-spray', 1, '08-04', { crewDays: 2, personHours: 60 }],
  ['P2', 'sericea-spray', 0, '07-24', { crewDays: 2, personHours: 58 }],
  ['E4', 'honeysuckle-spray', 0, '11-06', { crewDays: 1.5, personHours: 44 }],
  ['W2', 'basal-bark', 0, '01-12', { crewDays: 3, personHours: 92 }],
];

/** Facts that stand in the chains: fellings that cure, burns with their follow-up, the old fields. */
const chainWork: Fact[] = [
  felled('N1', 0, '12-18', 11),
  felled('N2', 1, '01-15', 13),
  felled('N4', 0, '01-22', 14),
  felled('N7', 0, '02-12', 13),
  felled('G1', 0, '11-24', 12),
  felled('G2', 0, '03-05', 13),
  [
    'N3',
    'cedar-felling',
    0,
    '03-11',
    { outcome: 'partly', areaAcres: 14, crewDays: 14, reason: 'the south end is still to cut' },
  ],
  ['N8', 'line-second-pass', 0, '02-23', { crewDays: 0.5 }],
  ...burned('N8', 0, '02-24'),
  ...burned('P3 P4', 0, '03-14').filter(([, key]) => key !== 'regrowth-check'),
  ['E1', 'line-second-pass', 2, '02-26', { crewDays: 0.5 }],
  ...burned('E1', 2, '02-27').slice(0, 2),
  ['E2', 'line-second-pass', 4, '03-04', { crewDays: 0.5 }],
  ...burned('E2', 4, '03-05').slice(0, 2),
  ['E2', 'line-second-pass', 2, '03-09', { crewDays: 0.5 }],
  ...burned('E2', 2, '03-10').slice(0, 2),
  ['E2', 'hardwood-thinning', 1, '01-20', { crewDays: 7, personHours: 210 }],
  ['E3', 'hardwood-thinning', 0, '01-28', { crewDays: 5, personHours: 150 }],
  ...[2, 1, 0].flatMap((yearsBack) =>
    burned('P1', yearsBack, '03-05', { shareBlackPercent: null, note: 'One third.' }).filter(
      ([, key]) => key !== 'regrowth-check',
    ),
  ),
  ['F1', 'fescue-spray-fall', 1, '10-06', { crewDays: 1.5 }],
  ['F1', 'fescue-spray-spring', 1, '04-24', { crewDays: 1.5 }],
  ['F1', 'native-seeding', 0, '01-16', { crewDays: 2 }],
  ['F1', 'mowing', 0, '08-05', { crewDays: 2 }],
  ['F3', 'strip-disking', 2, '02-10', { note: 'First third.', crewDays: 0.5 }],
  ['F3', 'covey-count', 1, '10-20'],
  ['F3', 'strip-disking', 1, '02-14', { note: 'Second third.', crewDays: 0.5 }],
  ['F3', 'covey-count', 0, '10-21'],
  ['F4', 'line-upkeep', 2, '09-18', { crewDays: 0.5 }],
  ['F4', 'line-upkeep', 1, '09-16', { crewDays: 0.5 }],
  ['F4', 'line-upkeep', 0, '09-17', { crewDays: 0.5 }],
];

/** Day from which facts count as steps, by the first unit of a block; others start after their last fire. */
const startsOn: Record<string, [number, string]> = {
  N2: [1, '10-01'],
  E1: [2, '02-01'],
  E2: [4, '02-01'],
  P1: [2, '02-01'],
  F1: [1, '10-01'],
  F3: [2, '02-01'],
  F4: [2, '09-01'],
  W3: [0, '03-25'],
};

/** First day on which a fact of the block counts as a step of its sequence. */
export function sequenceStart(firstCode: string, day: PastDay): IsoDate {
  const [yearsBack, at] = startsOn[firstCode] ?? [0, '10-01'];
  return day(yearsBack, at);
}

/** A burn of the last days that nobody has signed out yet, when `today` is in a burn season; else null. */
export function openBurn(today: IsoDate): { treatmentKey: string; doneOn: IsoDate } | null {
  const doneOn = addDays(today, -2);
  const monthDayOf = doneOn.slice(5);
  if (monthDayOf >= '08-15' && monthDayOf <= '10-31')
    return { treatmentKey: 'late-season-burn', doneOn };
  const opensOn = addDays(firstDayIn(yearOf(doneOn), leafFall), 7);
  const isWinter = doneOn >= opensOn || doneOn <= lastDayIn(yearOf(doneOn), monthDay('04-01'));
  return isWinter ? { treatmentKey: 'dormant-burn', doneOn } : null;
}

const fireKeys = new Set(['dormant-burn', 'late-season-burn']);

function entriesOf(fact: Fact, units: readonly Unit[], day: PastDay): Omit<WorkEntry, 'id'>[] {
  const [codes, treatmentKey, yearsBack, at, own = {}] = fact;
  const doneOn = day(yearsBack, at);
  const isFire = fireKeys.has(treatmentKey);
  return codes.split(' ').flatMap((code) => {
    const unit = units.find((one) => one.code === code);
    if (!unit) return [];
    return [
      {
        unitId: unit.id,
        treatmentKey,
        taskKey: null,
        startedOn: null,
        doneOn,
        precision: 'day' as const,
        outcome: 'done' as const,
        reason: '',
        areaAcres: null,
        crewDays: null,
        personHours: null,
        shareBlackPercent: null,
        fireCause: isFire ? ('planned' as const) : null,
        signedOutOn: isFire ? addDays(doneOn, 2) : null,
        note: '',
        ...own,
      },
    ];
  });
}

/** The work log of the sample as of `today`, oldest first; nothing of it lies on `today` or later. */
export function sampleEntries(units: readonly Unit[], today: IsoDate): WorkEntry[] {
  const day = pastDays(today);
  const facts = [...oldFires, ...otherWork, ...chainWork];
  const rows = facts.flatMap((fact) => entriesOf(fact, units, day));
  const open = openBurn(today);
  if (open) {
    const lit: Own = { ...open, shareBlackPercent: 75, signedOutOn: null, crewDays: 2 };
    const blown: Own = { doneOn: addDays(open.doneOn, -1), crewDays: 0.5 };
    rows.push(
      ...entriesOf(['E1', 'line-second-pass', 0, '10-01', blown], units, day),
      ...entriesOf(['E1', open.treatmentKey, 0, '10-01', lit], units, day),
    );
  }
  return rows
    .filter((row) => row.doneOn < today)
    .map((row, index) => ({ row, index }))
    .sort((a, b) =>
      a.row.doneOn < b.row.doneOn ? -1 : a.row.doneOn > b.row.doneOn ? 1 : a.index - b.index,
    )
    .map(({ row }, index) => ({ id: index + 1, ...row }));
}
