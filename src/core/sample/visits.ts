import type { IsoDate } from '../dates.ts';
import type { LandContent } from '../library.ts';
import type { Unit } from '../units.ts';
import type { Evaluation, Finding, PhotoPoint, Visit } from '../visits.ts';
import { pastDays } from './history.ts';

/** Above the numbers of the other records of the sample: they lie in one table. */
const firstId = 101;

/** Unit code, years back, month and day, what was found, note. */
type Look = [string, number, string, Finding, string?];

const forage = (of: 'herbs' | 'browse', gramsByPlot: number[]): Finding => ({
  ...{ kind: 'forage', of, plotSquareFeet: 9.6, dryPercent: 45, gramsByPlot },
});
const canopy = (readings: number[]): Finding => ({
  ...{ kind: 'canopy-cover', method: 'densiometer', readings },
});
const prism = (counts: number[]): Finding => ({
  ...{ kind: 'basal-area', method: 'prism', factor: 10, plotAcres: null, counts },
});
const stems = (of: 'cedar' | 'sprouts', stemsByPlot: number[]): Finding => ({
  ...{ kind: 'stem-count', of, plotSquareFeet: 435.6, stemsByPlot },
});

function evaluation(
  stage: Evaluation['stage'],
  shareBlackPercent: number,
  flameFeet: number | null,
  topkill: [number | null, number | null, number | null],
  cedar: [number | null, number | null, number | null],
): Finding {
  const [under1Inch, to3Inches, over3Inches] = topkill;
  const [under1Foot, to6Feet, over6Feet] = cedar;
  return {
    kind: 'evaluation',
    stage,
    shareBlackPercent,
    flameFeet,
    scorchClass: stage === 'first' ? '0-33' : null,
    topkillPercent: { under1Inch, to3Inches, over3Inches },
    cedarKillPercent: { under1Foot, to6Feet, over6Feet },
  };
}

const none: [null, null, null] = [null, null, null];

const looks: Look[] = [
  ['N8', 3, '08-05', forage('browse', [11, 22, 8, 15, 19, 12, 25, 9, 14, 10])],
  ['N8', 1, '08-09', forage('browse', [28, 61, 44, 35, 72, 50, 39, 57, 24, 41])],
  ['N8', 0, '08-03', forage('browse', [120, 196, 88, 143, 171, 102, 214, 160, 95, 137])],
  ['N8', 3, '07-12', canopy([18, 25, 9, 31, 22, 14])],
  ['N8', 0, '07-10', canopy([52, 61, 44, 70, 58, 49])],
  ['N8', 3, '07-12', prism([9, 12, 8, 11, 10])],
  ['N8', 0, '07-10', prism([6, 5, 7, 4, 6])],
  ['N8', 3, '06-02', stems('cedar', [4, 7, 3, 6, 5, 8])],
  ['N8', 0, '06-04', stems('cedar', [1, 0, 2, 0, 1, 0])],
  ['N8', 0, '02-25', evaluation('first', 85, 2.5, none, [95, 50, null]), 'No smoke by noon.'],
  ['N8', 0, '09-12', evaluation('second', 85, null, [90, 55, 5], [98, 62, 8])],
  ['N8', 2, '10-22', { kind: 'covey-count', stations: 2, coveys: 1 }],
  ['N8', 0, '10-24', { kind: 'covey-count', stations: 2, coveys: 3 }],
  ['P3', 0, '03-15', evaluation('first', 85, 6, none, [100, 80, null])],
  ['P3', 2, '06-06', { kind: 'bird-count', species: 'bobwhite', stations: 2, birds: 3 }],
  ['P3', 1, '06-08', { kind: 'bird-count', species: 'bobwhite', stations: 2, birds: 5 }],
  ['P3', 1, '08-20', forage('herbs', [310, 255, 402, 288, 344, 291])],
  ['E2', 2, '03-11', evaluation('first', 85, 3, none, none)],
  ['N1', 1, '07-15', canopy([6, 3, 11, 8])],
];

const points: [string, Omit<PhotoPoint, 'id' | 'unitId'>][] = [
  [
    'N8',
    {
      name: 'N8 north ledge',
      marker: 'steel post with a tag, at the foot of the ledge',
      bearingDegrees: 205,
      frame:
        'the lone post oak left of the middle, horizon a third from the top; July 1 to August 15',
    },
  ],
  [
    'P3',
    {
      name: 'P3 gate',
      marker: 'gate post, hinge side',
      bearingDegrees: 90,
      frame: 'the draw in the middle; July 1 to August 15',
    },
  ],
];

/** What was seen and measured on the sample land, all invented. Nothing lies after `today`. */
export function sampleVisits(
  units: readonly Unit[],
  today: IsoDate,
): Pick<LandContent, 'visits' | 'photoPoints' | 'ownerLetters'> {
  const unitId = (code: string) => units.find((unit) => unit.code === code)!.id;
  const past = pastDays(today);
  const visits = looks
    .map(([code, yearsBack, at, finding, note], index): Visit => {
      const seenOn = past(yearsBack, at);
      const place = { id: firstId + points.length + index, unitId: unitId(code) };
      return { ...place, seenOn, seenBy: 'Mara Quill', finding, note: note ?? '' };
    })
    .filter(({ seenOn }) => seenOn <= today);
  return {
    visits,
    photoPoints: points.map(([code, point], index) => ({
      id: firstId + index,
      unitId: unitId(code),
      ...point,
    })),
    ownerLetters: [],
  };
}
