import { type CedarKill, expectedCedarKill } from '../../core/cedar-kill.ts';
import type { IsoDate } from '../../core/dates.ts';
import { type AnswerSeries, answerSeries, figuresOf } from '../../core/land-answers.ts';
import type { Operation } from '../../core/operation.ts';
import type { Unit } from '../../core/units.ts';
import { type PhotoVisit, type Visit, visitKinds } from '../../core/visits.ts';
import type { Yardstick } from '../../core/yardsticks.ts';
import type { Deps } from '../deps.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import {
  type AnswerPicture,
  answerPicture,
  pictureSpan,
  type TreatmentMark,
} from './answer-picture.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

/** One figure of a measure, in words. */
export interface AnswerRow {
  day: string;
  figure: string;
  interval: string;
  plots: number;
  path: string;
}

export interface MeasureView {
  anchor: string;
  name: string;
  unit: string;
  picture: AnswerPicture;
  rows: AnswerRow[];
  yardsticks: { number: number; name: string; range: string; note: string; source: string }[];
}

export interface PhotoPointView {
  id: number;
  name: string;
  about: string;
  frame: string;
  path: string;
  addPath: string;
  pictures: { day: string; src: string; alt: string; by: string; note: string }[];
}

export interface VisitLine {
  day: string;
  what: string;
  figures: string;
  note: string;
  by: string;
  path: string;
}

export interface CedarView {
  /** Pounds an acre; null = not known. */
  fuel: number | null;
  fuelWords: string;
  typed: string;
  problem: string;
  rows: { height: string; expected: string }[];
}

export interface AnswersPage {
  shell: Shell;
  unit: { id: number; code: string; name: string };
  forms: { name: string; path: string }[];
  /** Measured twice or more, or with a yardstick to hold it against. */
  measures: MeasureView[];
  once: (AnswerRow & { name: string })[];
  marks: { when: string; letter: string; name: string }[];
  photoPoints: PhotoPointView[];
  visits: VisitLine[];
  cedar: CedarView;
}

const cedarWords: Record<CedarKill, string> = {
  killed: 'mostly killed',
  'about-60-percent': 'about 60 % killed, fewer with less fuel',
  uncertain: 'uncertain',
  'cut-it': 'not reached by the fire: cut it',
};

const cedarHeights: [name: string, feet: number][] = [
  ['under 1 foot', 0.5],
  ['1 to 5 feet', 3],
  ['5 to 6 feet', 5.5],
  ['over 6 feet', 7],
  ['over 10 feet', 12],
];

/** The unit at an address. Throws 404 for one that is unknown. */
export function unitAt(operation: Operation, unitId: number): Unit {
  const unit = operation.units.find(({ id }) => id === unitId);
  if (!unit) throw new PageError(404, 'There is no unit at this address.');
  return unit;
}

/** Cuts, burns and sprays that were done on a unit, oldest first. */
export function treatmentMarks(operation: Operation, unitId: number): TreatmentMark[] {
  const treatments = new Map(operation.treatments.map((one) => [one.key, one]));
  return operation.entries
    .filter((entry) => entry.unitId === unitId)
    .filter(({ outcome }) => outcome === 'done' || outcome === 'partly')
    .flatMap(({ treatmentKey, doneOn }) => {
      const treatment = treatments.get(treatmentKey);
      if (!treatment || !['cut', 'burn', 'spray'].includes(treatment.family)) return [];
      const letter = words.familyLetters[treatment.family];
      return [{ doneOn, letter, name: treatment.name }];
    })
    .sort((a, b) => (a.doneOn < b.doneOn ? -1 : 1));
}

const figure = (value: number, unit: string) =>
  unit === '%' ? `${words.number(value, 0)} %` : `${words.number(value)} ${unit}`;

function rowsOf({ unit, answers }: AnswerSeries): AnswerRow[] {
  return answers.toReversed().map(({ seenOn, mean, low, high, plots, visitId, entryId }) => ({
    day: words.date(seenOn),
    figure: figure(mean, unit),
    interval: low === null || high === null ? '' : `${words.number(low)} to ${figure(high, unit)}`,
    plots,
    path: entryId === undefined ? `/records/visits/${visitId}` : `/worklog/${entryId}`,
  }));
}

function measureView(
  series: AnswerSeries,
  all: readonly Yardstick[],
  marks: readonly TreatmentMark[],
  span: ReturnType<typeof pictureSpan>,
): MeasureView {
  const yardsticks = all.filter((one) => one.series === series.key);
  return {
    anchor: `measure-${series.key.replace(/[^a-z0-9-]+/g, '-')}`,
    name: series.name,
    unit: series.unit,
    picture: answerPicture(series, yardsticks, marks, span),
    rows: rowsOf(series),
    yardsticks: yardsticks.map((one, at) => ({
      number: at + 1,
      name: one.name,
      range: `${words.number(one.low)} to ${words.number(one.high)} ${one.unit}`,
      note: one.note,
      source:
        one.status === 'published'
          ? `${words.statusNames[one.status]}: ${one.source}`
          : words.statusNames[one.status],
    })),
  };
}

type Photographed = Visit & { finding: PhotoVisit };

function photoPointViews(operation: Operation, unit: Unit, visits: Visit[]): PhotoPointView[] {
  const taken = visits.filter((visit): visit is Photographed => visit.finding.kind === 'photos');
  return operation.photoPoints
    .filter(({ unitId }) => unitId === unit.id)
    .map((point) => ({
      id: point.id,
      name: point.name,
      about: `${point.marker === '' ? '' : `${point.marker}; `}looks ${words.number(point.bearingDegrees)} degrees`,
      frame: point.frame,
      path: `/records/photo-points/${point.id}`,
      addPath: `/units/${unit.id}/photo-points/${point.id}/pictures`,
      pictures: taken
        .filter(({ finding }) => finding.photoPointId === point.id)
        .sort((a, b) => (a.seenOn < b.seenOn ? -1 : 1))
        .flatMap(({ id, seenOn, seenBy, note, finding }) =>
          finding.photos.map((name) => ({
            day: words.date(seenOn),
            src: `/units/${unit.id}/visits/${id}/pictures/${name}`,
            alt: `${point.name} on ${words.date(seenOn)}`,
            by: seenBy,
            note,
          })),
        ),
    }));
}

/** A visit in one line. */
export function visitLine(visit: Visit): VisitLine {
  const { finding } = visit;
  return {
    day: words.date(visit.seenOn),
    what:
      finding.kind === 'evaluation'
        ? `${words.visitNames.evaluation}, ${finding.stage} look`
        : words.visitNames[finding.kind],
    figures: figuresOf(visit)
      .map(({ name, unit, answers: [{ mean }] }) => `${name}: ${figure(mean, unit)}`)
      .concat(
        finding.kind === 'evaluation' && finding.scorchClass
          ? [`Crown scorch: ${finding.scorchClass.replace('-', ' to ')} %`]
          : [],
        finding.kind === 'photos' ? [words.count(finding.photos.length, 'picture')] : [],
      )
      .join(' · '),
    note: visit.note,
    by: visit.seenBy,
    path: `/records/visits/${visit.id}`,
  };
}

/** Fine fuel of the last clipping that holds grass, else as typed. */
function cedarView(series: readonly AnswerSeries[], typed: string): CedarView {
  const clipped = ['forage-herbs', 'forage-all']
    .flatMap((key) => series.find((one) => one.key === key)?.answers ?? [])
    .sort((a, b) => (a.seenOn < b.seenOn ? -1 : 1))
    .at(-1);
  const isNumber = /^\d{1,5}(\.\d+)?$/.test(typed);
  const fuel = isNumber ? Number(typed) : (clipped?.mean ?? null);
  return {
    fuel,
    fuelWords: isNumber
      ? `${words.number(Number(typed), 0)} lb an acre, as typed`
      : clipped
        ? `${words.number(clipped.mean, 0)} lb an acre, clipped ${words.date(clipped.seenOn)}`
        : 'not known: clip the grass, or type a figure',
    typed,
    problem:
      typed === '' || isNumber ? '' : 'Fine fuel: write pounds an acre as a number, such as 3500.',
    rows: cedarHeights.map(([height, feet]) => ({
      height,
      expected: cedarWords[expectedCedarKill(feet, fuel)],
    })),
  };
}

export function visitsOf(operation: Operation, unitId: number): Visit[] {
  return operation.visits
    .filter((visit) => visit.unitId === unitId)
    .sort((a, b) => (a.seenOn === b.seenOn ? b.id - a.id : a.seenOn < b.seenOn ? 1 : -1));
}

/** What a unit answered to its treatments. `fuel`: pounds an acre as typed, for what fire may do to cedar. */
export function answersPage(deps: Deps, unitId: number, fuel: string): AnswersPage {
  const operation = deps.operation();
  const unit = unitAt(operation, unitId);
  const property = operation.properties.find(({ id }) => id === unit.propertyId);
  const today: IsoDate = todayAt(deps, property);
  const visits = visitsOf(operation, unitId);
  const series = answerSeries(
    visits,
    operation.entries.filter((entry) => entry.unitId === unitId),
  );
  const marks = treatmentMarks(operation, unitId);
  const span = pictureSpan(series, today);
  const { id, code, name } = unit;
  const yardsticks = deps.answers.yardsticks();
  const isDrawn = ({ key, answers }: AnswerSeries) =>
    answers.length > 1 || yardsticks.some((one) => one.series === key);
  return {
    shell: shellOf(deps, 'units', `${code} ${name}: did the land answer?`),
    unit: { id, code, name },
    forms: visitKinds
      .filter((kind) => kind !== 'photos')
      .map((kind) => ({
        name: words.visitNames[kind],
        path: `/units/${id}/visits/new/${kind}`,
      })),
    measures: series.filter(isDrawn).map((one) => measureView(one, yardsticks, marks, span)),
    once: series
      .filter((one) => !isDrawn(one))
      .flatMap((one) => rowsOf(one).map((row) => ({ ...row, name: one.name }))),
    marks: marks
      .toReversed()
      .map((mark) => ({ when: words.date(mark.doneOn), letter: mark.letter, name: mark.name })),
    photoPoints: photoPointViews(operation, unit, visits),
    visits: visits.map(visitLine),
    cedar: cedarView(series, fuel.trim().slice(0, 12)),
  };
}
