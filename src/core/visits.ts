import { type IsoDate, parseIsoDate } from './dates.ts';
import type { Problem } from './problems.ts';

/** What somebody went to see or measure on a unit. */
export const visitKinds = [
  'evaluation',
  'forage',
  'stem-count',
  'canopy-cover',
  'basal-area',
  'photos',
  'bird-count',
  'covey-count',
] as const;
export type VisitKind = (typeof visitKinds)[number];

/** Share of the crown that was scorched, in percent: the classes of the evaluation forms of the southern region. */
export const scorchClasses = ['0-33', '34-66', '67-100'] as const;
export type ScorchClass = (typeof scorchClasses)[number];

/** What a burn did: the first look is right after it, the second after the growing season. */
export interface Evaluation {
  kind: 'evaluation';
  stage: 'first' | 'second';
  shareBlackPercent: number | null;
  flameFeet: number | null;
  scorchClass: ScorchClass | null;
  /** Woody stems killed to the ground, by thickness at the ground. */
  topkillPercent: {
    under1Inch: number | null;
    to3Inches: number | null;
    over3Inches: number | null;
  };
  /** Standing redcedar killed, by height. */
  cedarKillPercent: { under1Foot: number | null; to6Feet: number | null; over6Feet: number | null };
}

/** Plants cut off at the ground on small plots, and weighed. */
export interface ForageClipping {
  kind: 'forage';
  of: 'herbs' | 'browse' | 'all';
  plotSquareFeet: number;
  /** Dry weight as a share of the weight entered; 100 = weighed dry. */
  dryPercent: number;
  gramsByPlot: number[];
}

export interface StemCount {
  kind: 'stem-count';
  of: 'cedar' | 'sprouts' | 'invasives';
  plotSquareFeet: number;
  stemsByPlot: number[];
}

export interface CanopyCover {
  kind: 'canopy-cover';
  /** Dots of open sky out of 96 in the mirror of a densiometer; by eye: percent covered. */
  method: 'densiometer' | 'by-eye';
  readings: number[];
}

export interface BasalArea {
  kind: 'basal-area';
  /** Prism: trees counted at each point. Stems: the diameter at breast height of every stem on the plots. */
  method: 'prism' | 'stems';
  /** Square feet an acre for each tree counted; null for stems. */
  factor: number | null;
  /** All plots together; null for a prism. */
  plotAcres: number | null;
  /** Trees by point, or diameters in inches. */
  counts: number[];
}

/** Pictures from a fixed point, in the order in which they were taken. */
export interface PhotoVisit {
  kind: 'photos';
  photoPointId: number;
  /** File names in the photo folder beside the database. */
  photos: string[];
}

export interface BirdCount {
  kind: 'bird-count';
  species: string;
  stations: number;
  birds: number;
}

export interface CoveyCount {
  kind: 'covey-count';
  stations: number;
  coveys: number;
}

export type Finding =
  | Evaluation
  | ForageClipping
  | StemCount
  | CanopyCover
  | BasalArea
  | PhotoVisit
  | BirdCount
  | CoveyCount;

/** One look at a unit on one day, and what was found. */
export interface Visit {
  id: number;
  unitId: number;
  seenOn: IsoDate;
  seenBy: string;
  finding: Finding;
  note: string;
}

/** A marker that does not burn, from which the same picture is taken each year. */
export interface PhotoPoint {
  id: number;
  unitId: number;
  name: string;
  marker: string;
  /** Degrees from true north that the camera looks; 0 to 359. */
  bearingDegrees: number;
  /** Month and day when the yearly picture is due and what it should show, in words. */
  frame: string;
}

/** Words of the office around the letters to a landowner. */
export interface OwnerLetter {
  id: number;
  landownerId: number;
  greeting: string;
  closing: string;
}

/** More plots than any unit needs: a slip of the list. */
export const plotsMost = 100;

type Say = (field: string, message: string) => void;

function checkNumbers(rows: readonly number[], field: string, label: string, say: Say): void {
  if (rows.length === 0) say(field, `${label}: write at least one number.`);
  if (rows.length > plotsMost) say(field, `${label}: write at most ${plotsMost} numbers.`);
  if (rows.some((value) => !Number.isFinite(value) || value < 0))
    say(field, `${label}: write numbers of 0 or more.`);
}

function checkPositive(value: number | null, field: string, label: string, say: Say): void {
  if (value === null || !(value > 0)) say(field, `${label}: write a number above 0.`);
}

function checkPercent(value: number | null, field: string, label: string, say: Say): void {
  if (value !== null && !(value >= 0 && value <= 100))
    say(field, `${label}: write a number from 0 to 100.`);
}

function checkCounts(whole: readonly number[], field: string, label: string, say: Say): void {
  checkNumbers(whole, field, label, say);
  if (whole.some((value) => !Number.isInteger(value))) say(field, `${label}: write whole numbers.`);
}

function checkEvaluation(finding: Evaluation, say: Say): void {
  const { topkillPercent: top, cedarKillPercent: cedar } = finding;
  const percents: [string, string, number | null][] = [
    ['shareBlackPercent', 'Share black', finding.shareBlackPercent],
    ['topkillUnder1Inch', 'Topkill under 1 inch', top.under1Inch],
    ['topkillTo3Inches', 'Topkill 1 to 3 inches', top.to3Inches],
    ['topkillOver3Inches', 'Topkill over 3 inches', top.over3Inches],
    ['cedarUnder1Foot', 'Cedar under 1 foot', cedar.under1Foot],
    ['cedarTo6Feet', 'Cedar 1 to 6 feet', cedar.to6Feet],
    ['cedarOver6Feet', 'Cedar over 6 feet', cedar.over6Feet],
  ];
  for (const [field, label, value] of percents) checkPercent(value, field, label, say);
  if (finding.flameFeet !== null && !(finding.flameFeet >= 0))
    say('flameFeet', 'Flame length: write a number of 0 or more.');
  const isBlank =
    percents.every(([, , value]) => value === null) &&
    finding.flameFeet === null &&
    finding.scorchClass === null;
  if (isBlank) say('shareBlackPercent', 'Share black: write at least one figure of the form.');
}

function checkFinding(finding: Finding, say: Say): void {
  switch (finding.kind) {
    case 'evaluation':
      checkEvaluation(finding, say);
      return;
    case 'forage':
      checkPositive(finding.plotSquareFeet, 'plotSquareFeet', 'Plot', say);
      if (!(finding.dryPercent > 0 && finding.dryPercent <= 100))
        say('dryPercent', 'Dry weight: write a number above 0, at most 100.');
      checkNumbers(finding.gramsByPlot, 'numbers', 'Grams by plot', say);
      return;
    case 'stem-count':
      checkPositive(finding.plotSquareFeet, 'plotSquareFeet', 'Plot', say);
      checkCounts(finding.stemsByPlot, 'numbers', 'Stems by plot', say);
      return;
    case 'canopy-cover': {
      const most = finding.method === 'densiometer' ? 96 : 100;
      checkNumbers(finding.readings, 'numbers', 'Readings', say);
      if (finding.readings.some((value) => value > most))
        say('numbers', `Readings: write numbers of ${most} or less.`);
      return;
    }
    case 'basal-area':
      if (finding.method === 'stems') {
        checkPositive(finding.plotAcres, 'plotAcres', 'Acres of all plots', say);
        checkNumbers(finding.counts, 'numbers', 'Diameters', say);
        return;
      }
      checkPositive(finding.factor, 'factor', 'Factor of the prism', say);
      checkCounts(finding.counts, 'numbers', 'Trees by point', say);
      return;
    case 'photos':
      return;
    case 'bird-count':
      if (finding.species.trim() === '') say('species', 'Kind of bird: fill this in.');
      checkPositive(finding.stations, 'stations', 'Stations', say);
      checkCounts([finding.birds], 'birds', 'Birds', say);
      return;
    case 'covey-count':
      checkPositive(finding.stations, 'stations', 'Stations', say);
      checkCounts([finding.coveys], 'coveys', 'Coveys', say);
      return;
  }
}

/** What is wrong with a visit as entered, the first fault of each field; empty = it can be stored. */
export function checkVisit(visit: Omit<Visit, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say: Say = (field, message) => {
    if (!problems.some((one) => one.field === field))
      problems.push({ code: `visit-${field}`, field, message });
  };
  if (!parseIsoDate(visit.seenOn)) say('seenOn', 'Day: give a real day, such as 2026-07-01.');
  checkFinding(visit.finding, say);
  return problems;
}

/** What is wrong with a photo point as entered; empty = it can be stored. */
export function checkPhotoPoint(point: Omit<PhotoPoint, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say: Say = (field, message) =>
    problems.push({ code: `photoPoint-${field}`, field, ref: point.name, message });
  if (point.name.trim() === '') say('name', 'Name: give the point a name or a number.');
  const isBearing = Number.isFinite(point.bearingDegrees);
  if (!isBearing || point.bearingDegrees < 0 || point.bearingDegrees >= 360)
    say('bearingDegrees', 'Bearing: write degrees from 0 to 359.');
  return problems;
}

/** File names of the pictures that visits name. */
export function pictureNames(visits: readonly Visit[]): string[] {
  return visits.flatMap(({ finding }) => (finding.kind === 'photos' ? finding.photos : []));
}
