import type { IsoDate } from '../../core/dates.ts';
import { daysBetween } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import { fireStatus, fireStatusWords, fires, rotationOf } from '../../core/rotation.ts';
import type { Unit } from '../../core/units.ts';
import type { WorkDetail } from '../../core/work-details.ts';
import type { WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { unitAt, visitLine, visitsOf } from './answers.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { entryLine } from './unit.ts';
import { answeredKeys } from './units.ts';

/** An entry or a visit, newest first. */
export interface LedgerLine {
  at: IsoDate;
  day: string;
  letter: string;
  what: string;
  facts: string;
  hours: string;
  money: string;
  path: string | null;
}

export interface LedgerPage {
  shell: Shell;
  unit: Unit;
  property: string;
  madeOn: string;
  facts: { name: string; value: string }[];
  lines: LedgerLine[];
  fires: { day: string; share: string; cause: string; since: string; counts: string }[];
  next: { when: string; what: string }[];
  totals: { acres: string; hours: string; crewDays: string; money: string };
}

const yearDays = 365.2425;

function factsOf(operation: Operation, unit: Unit, today: IsoDate): LedgerPage['facts'] {
  const block = operation.blocks.find(({ id }) => id === unit.blockId);
  const property = operation.properties.find(({ id }) => id === unit.propertyId);
  const owner = operation.landowners.find(({ id }) => id === property?.landownerId);
  const rotation = block ? rotationOf(operation, block) : null;
  const contractAcres = operation.contracts.flatMap(({ program, number, practices }) =>
    practices.flatMap((practice) =>
      practice.units
        .filter((row) => row.unitId === unit.id && row.contractAcres !== null)
        .map(
          (row) =>
            `${words.number(row.contractAcres ?? 0)} (${`${program} ${number}`.trim()}, ${practice.number})`,
        ),
    ),
  );
  const rows: [string, string][] = [
    ['Landowner', owner?.name ?? ''],
    [
      'Natural community',
      operation.communities.find(({ key }) => key === unit.communityKey)?.name ?? '',
    ],
    ['Acres as planned by', words.number(unit.areaAcres)],
    ['Acres as measured', unit.measuredAcres === null ? '' : words.number(unit.measuredAcres)],
    ['Acres by contract', contractAcres.join('; ')],
    ['Density', unit.densityClass ?? ''],
    [
      'Aspect and slope',
      [unit.aspect ?? '', unit.slopePercent === null ? '' : `${unit.slopePercent} %`]
        .join(' ')
        .trim(),
    ],
    ['Tags', unit.tags.join(', ')],
    ['Fire', fireStatusWords(fireStatus(operation, unit, today))],
    [
      'Interval',
      rotation
        ? `${words.number(rotation.leastSeasons)} to ${words.number(rotation.mostYears)} years, target ${words.number(rotation.targetYears)}`
        : 'no fire planned',
    ],
  ];
  return rows.filter(([, value]) => value !== '').map(([name, value]) => ({ name, value }));
}

function entryLines(
  operation: Operation,
  entries: readonly WorkEntry[],
  details: ReadonlyMap<number, WorkDetail>,
): LedgerLine[] {
  return entries.map((entry) => {
    const line = entryLine(operation, entry);
    const detail = details.get(entry.id);
    const photos = detail?.photos.length ?? 0;
    return {
      at: entry.doneOn,
      day: line.when,
      letter: words.familyLetters[line.family],
      what: `${line.name}, ${line.outcome}`,
      facts: [line.facts, photos === 0 ? '' : words.count(photos, 'photo')]
        .filter((part) => part !== '')
        .join(' · '),
      hours: entry.personHours === null ? '' : words.number(entry.personHours),
      money: detail?.moneyUsd == null ? '' : words.money(detail.moneyUsd),
      path: `/worklog/${entry.id}`,
    };
  });
}

const causeWords = {
  planned: 'planned',
  wild: 'wildfire',
  neighbour: "a neighbor's fire",
} as const;

function fireLines(operation: Operation, unit: Unit): LedgerPage['fires'] {
  const least = operation.settings.shareBlackPercentLeast;
  let before: IsoDate | null = null;
  const rows = fires(operation, unit).map((fire) => {
    const counts = fire.shareBlackPercent === null || fire.shareBlackPercent >= least;
    const years = before === null ? null : daysBetween(before, fire.doneOn) / yearDays;
    if (counts) before = fire.doneOn;
    return {
      day: words.entryDate(fire.doneOn, fire.precision),
      share: fire.shareBlackPercent === null ? 'not noted' : `${fire.shareBlackPercent} %`,
      cause: causeWords[fire.fireCause ?? 'planned'],
      since: years === null ? '' : `${words.number(years)} yr`,
      counts: counts ? 'counts' : 'too little black to count',
    };
  });
  return rows.reverse();
}

/** Steps planned and still to do, by day. */
function nextLines(deps: Deps, operation: Operation, unit: Unit): LedgerPage['next'] {
  const answered = answeredKeys({
    ...operation,
    blocks: operation.blocks.filter(({ id }) => id === unit.blockId),
  });
  const tasks = (deps.plans.inForce()?.content.tasks ?? [])
    .filter((task) => task.blockId === unit.blockId && task.tiedToKey === null)
    .filter((task) => task.unitId === null || task.unitId === unit.id)
    .filter(({ key }) => !answered.has(key))
    .toSorted((a, b) => (a.startsOn < b.startsOn ? -1 : 1));
  return tasks.map(({ name, startsOn, lastDay, isWhenFit }) => ({
    when: `${words.span(startsOn, lastDay)}${isWhenFit ? ', one day when fit' : ''}`,
    what: name,
  }));
}

const sum = (values: readonly (number | null | undefined)[]) =>
  values.reduce<number>((total, value) => total + (value ?? 0), 0);

/** Everything that is on record of a unit. */
export function ledgerPage(deps: Deps, unitId: number): LedgerPage {
  const operation = deps.operation();
  const unit = unitAt(operation, unitId);
  const property = operation.properties.find(({ id }) => id === unit.propertyId);
  const today = todayAt(deps, property);
  const entries = operation.entries.filter((entry) => entry.unitId === unitId);
  const details = new Map(deps.worklog.details().map((one) => [one.entryId, one]));
  const visits = visitsOf(operation, unitId).map((visit): LedgerLine => {
    const line = visitLine(visit);
    return {
      ...{ at: visit.seenOn, day: line.day, letter: 'M', what: line.what, path: line.path },
      facts: [line.figures, line.note].filter((part) => part !== '').join(' · '),
      ...{ hours: '', money: '' },
    };
  });
  const lines = [...entryLines(operation, entries, details), ...visits];
  return {
    shell: shellOf(deps, 'units', `${unit.code} ${unit.name}: what is on record?`),
    unit,
    property: property?.name ?? '',
    madeOn: words.date(today),
    facts: factsOf(operation, unit, today),
    lines: lines.sort((a, b) => (a.at < b.at ? 1 : a.at > b.at ? -1 : 0)),
    fires: fireLines(operation, unit),
    next: nextLines(deps, operation, unit),
    totals: {
      acres: words.number(unit.areaAcres),
      hours: words.number(sum(entries.map(({ personHours }) => personHours))),
      crewDays: words.number(sum(entries.map(({ crewDays }) => crewDays))),
      money: words.money(sum(entries.map(({ id }) => details.get(id)?.moneyUsd))),
    },
  };
}
