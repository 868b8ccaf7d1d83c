import { addDays, type IsoDate } from './dates.ts';
import { type PlotMean, plotMean } from './plot-mean.ts';
import type {
  BasalArea,
  CanopyCover,
  Evaluation,
  ForageClipping,
  StemCount,
  Visit,
} from './visits.ts';
import type { WorkEntry } from './worklog.ts';

const squareFeetPerAcre = 43_560;
const gramsPerPound = 453.59237;

/**
 * Pounds an acre that one gram on a plot stands for. A plot of 0.96 square feet gives 100, of 9.6 square feet 10:
 * Interagency Technical Reference 1734-4, Sampling Vegetation Attributes (1996), table 6.
 */
export function poundsAcrePerGram(plotSquareFeet: number): number {
  return squareFeetPerAcre / plotSquareFeet / gramsPerPound;
}

/** Dry forage in pounds an acre: mean of the plots with its 95 % interval. */
export function foragePoundsAcre(clipping: ForageClipping): PlotMean | null {
  const factor = poundsAcrePerGram(clipping.plotSquareFeet) * (clipping.dryPercent / 100);
  return plotMean(clipping.gramsByPlot.map((grams) => grams * factor));
}

/** Stems an acre: mean of the plots with its 95 % interval. */
export function stemsAcre(count: StemCount): PlotMean | null {
  const factor = squareFeetPerAcre / count.plotSquareFeet;
  return plotMean(count.stemsByPlot.map((stems) => stems * factor));
}

/**
 * Canopy cover in percent. A densiometer has 96 dots; each dot of open sky is 1.04 % (instructions on the instrument,
 * after Lemmon 1956, Forest Science 2:314-320, from memory).
 */
export function canopyCoverPercent(cover: CanopyCover): PlotMean | null {
  const percents = cover.readings.map((reading) =>
    cover.method === 'densiometer' ? Math.max(0, 100 - 1.04 * reading) : reading,
  );
  return plotMean(percents, 0, 100);
}

/** Square feet of a stem at breast height from its diameter in inches: a circle, with 144 square inches a square foot. */
export function stemSquareFeet(diameterInches: number): number {
  return (Math.PI * diameterInches ** 2) / (4 * 144);
}

/**
 * Basal area in square feet an acre. Prism: the mean count of trees times the factor of the prism, with its 95 %
 * interval over the points. Stems: the sum of the stems over the acres of the plots, without one.
 */
export function basalAreaAcre({ method, factor, plotAcres, counts }: BasalArea): PlotMean | null {
  if (method === 'prism') return plotMean(counts.map((trees) => trees * (factor ?? 0)));
  if (plotAcres === null || plotAcres <= 0) return null;
  const area = counts.reduce((sum, inches) => sum + stemSquareFeet(inches), 0);
  return { mean: area / plotAcres, low: null, high: null, plots: 1 };
}

/** Radius within which a calling covey can be heard. */
export const coveyRadiusYards = 547;

/** Acres of the circle heard from one station of a covey count: 194 (state guide to fall covey counts). */
export function acresHeard(radiusYards: number): number {
  return (Math.PI * (radiusYards * 3) ** 2) / squareFeetPerAcre;
}

/** One figure of one day: of a visit, or of a fire in the work log. */
export interface Answer extends PlotMean {
  visitId: number;
  /** The entry of the fire whose share black this is; its figure has no visit (`visitId` 0). */
  entryId?: number;
  seenOn: IsoDate;
}

/** The same measure over the years of a unit, oldest first. */
export interface AnswerSeries {
  /** `forage-browse`, `canopy-cover`, `birds-bobwhite` ... */
  key: string;
  name: string;
  /** Of the figures: "lb an acre", "%". */
  unit: string;
  answers: Answer[];
}

interface Measured {
  key: string;
  name: string;
  unit: string;
  value: PlotMean | null;
}

export const forageNames: Record<ForageClipping['of'], string> = {
  herbs: 'grass and forbs',
  browse: 'browse',
  all: 'all plants',
};

export const stemNames: Record<StemCount['of'], string> = {
  cedar: 'cedar',
  sprouts: 'hardwood sprouts',
  invasives: 'invasive shrubs',
};

const one = (value: number | null): PlotMean | null =>
  value === null ? null : { mean: value, low: null, high: null, plots: 1 };

function evaluated(finding: Evaluation): Measured[] {
  const { topkillPercent: top, cedarKillPercent: cedar } = finding;
  const rows: [string, string, string, number | null][] = [
    ['share-black', 'Share black', '%', finding.shareBlackPercent],
    ['flame-length', 'Flame length', 'feet', finding.flameFeet],
    ['topkill-under-1', 'Topkill, stems under 1 inch', '%', top.under1Inch],
    ['topkill-1-to-3', 'Topkill, stems 1 to 3 inches', '%', top.to3Inches],
    ['topkill-over-3', 'Topkill, stems over 3 inches', '%', top.over3Inches],
    ['cedar-under-1', 'Cedar killed, under 1 foot tall', '%', cedar.under1Foot],
    ['cedar-1-to-6', 'Cedar killed, 1 to 6 feet tall', '%', cedar.to6Feet],
    ['cedar-over-6', 'Cedar killed, over 6 feet tall', '%', cedar.over6Feet],
  ];
  return rows.map(([key, name, unit, value]) => ({ key, name, unit, value: one(value) }));
}

function measuredBy({ finding }: Visit): Measured[] {
  switch (finding.kind) {
    case 'evaluation':
      return evaluated(finding);
    case 'forage': {
      const name = `Forage, ${forageNames[finding.of]}, dry`;
      const value = foragePoundsAcre(finding);
      return [{ key: `forage-${finding.of}`, name, unit: 'lb an acre', value }];
    }
    case 'stem-count': {
      const name = `Stems, ${stemNames[finding.of]}`;
      const value = stemsAcre(finding);
      return [{ key: `stems-${finding.of}`, name, unit: 'stems an acre', value }];
    }
    case 'canopy-cover': {
      const value = canopyCoverPercent(finding);
      return [{ key: 'canopy-cover', name: 'Canopy cover', unit: '%', value }];
    }
    case 'basal-area': {
      const value = basalAreaAcre(finding);
      return [{ key: 'basal-area', name: 'Basal area', unit: 'sq ft an acre', value }];
    }
    case 'bird-count': {
      const name = `Birds, ${finding.species}`;
      const value = one(finding.birds / finding.stations);
      const key = `birds-${finding.species.trim().toLowerCase()}`;
      return [{ key, name, unit: 'a station', value }];
    }
    case 'covey-count': {
      const value = one(finding.coveys / finding.stations);
      return [{ key: 'coveys', name: 'Coveys heard', unit: 'a station', value }];
    }
    case 'photos':
      return [];
  }
}

/** The figures of one visit, those that were filled in. */
export function figuresOf(visit: Visit): (AnswerSeries & { answers: [Answer] })[] {
  return measuredBy(visit).flatMap(({ value, ...series }) =>
    value === null
      ? []
      : [{ ...series, answers: [{ ...value, visitId: visit.id, seenOn: visit.seenOn }] }],
  );
}

/**
 * Share black of the fires in the log of one unit, as it was written down when they were logged. A fire that was evaluated
 * before the next one is left out: the look counts. So is one whose day is not known.
 */
function blackOfFires(visits: readonly Visit[], fires: readonly WorkEntry[]): AnswerSeries[] {
  const looks = visits.flatMap(({ seenOn, finding }) =>
    finding.kind === 'evaluation' && finding.shareBlackPercent !== null ? [seenOn] : [],
  );
  const inTime = fires
    .filter(({ fireCause, precision }) => fireCause !== null && precision === 'day')
    .toSorted((a, b) => (a.doneOn < b.doneOn ? -1 : 1));
  return inTime.flatMap(({ id, doneOn, shareBlackPercent }, at) => {
    const next = inTime[at + 1]?.doneOn;
    const isLookedAt = looks.some(
      (seenOn) => seenOn >= doneOn && seenOn < (next ?? addDays(doneOn, 366)),
    );
    const value = one(shareBlackPercent);
    if (value === null || isLookedAt) return [];
    const answers = [{ ...value, visitId: 0, entryId: id, seenOn: doneOn }];
    return [{ key: 'share-black', name: 'Share black', unit: '%', answers }];
  });
}

/** The measures of a unit over time, those measured most often first. `fires`: entries of the unit's log. */
export function answerSeries(
  visits: readonly Visit[],
  fires: readonly WorkEntry[] = [],
): AnswerSeries[] {
  const byKey = new Map<string, AnswerSeries>();
  for (const found of [...visits.map(figuresOf), blackOfFires(visits, fires)])
    for (const { answers, ...series } of found) {
      const known = byKey.get(series.key) ?? { ...series, answers: [] };
      byKey.set(series.key, { ...known, answers: [...known.answers, ...answers] });
    }
  const inTime = (a: Answer, b: Answer) =>
    a.seenOn === b.seenOn ? a.visitId - b.visitId : a.seenOn < b.seenOn ? -1 : 1;
  return [...byKey.values()]
    .map((series) => ({ ...series, answers: series.answers.toSorted(inTime) }))
    .sort((a, b) => b.answers.length - a.answers.length);
}
