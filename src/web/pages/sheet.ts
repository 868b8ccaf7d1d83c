import { unitsOf } from '../../core/chains.ts';
import type { IsoDate } from '../../core/dates.ts';
import { centroidOf, projectToFeet } from '../../core/geometry.ts';
import { lineWorkFeet } from '../../core/line-work.ts';
import { type Line, lineGoodUntil } from '../../core/lines.ts';
import type { Operation } from '../../core/operation.ts';
import { ownRateOn, ownRateWords, treatmentOn } from '../../core/own-rates.ts';
import type { PointToProtect } from '../../core/points.ts';
import type { Property } from '../../core/properties.ts';
import { outerLines } from '../../core/readiness-items.ts';
import { openYear, openYearSentence, yearOfSeason } from '../../core/season/open-words.ts';
import type { SheetTask } from '../../core/sheets.ts';
import type { Source } from '../../core/sources.ts';
import type { Caution, Family, Rate } from '../../core/treatments.ts';
import type { DensityClass } from '../../core/units.ts';
import * as words from '../words.ts';
import { type Drawing, pointLetters, pointNames, sketchOf } from './map-drawing.ts';
import { cautionsFor, sheetPath } from './task-words.ts';

export interface SheetLine {
  number: number;
  name: string;
  about: string;
  /** It has to be made, or its last good day is over. */
  isOpen: boolean;
}

export interface SheetPlace {
  letter: string;
  name: string;
  about: string;
}

/** Where a figure or a sentence comes from; paper shows the status alone. */
export interface SheetSource {
  status: string;
  words: string;
}

/** One printed page of a task. */
export interface Sheet {
  /** Address of the sheet; blank for one of no task. */
  path: string;
  id: string;
  family: Family;
  letter: string;
  name: string;
  place: string;
  acres: string;
  ground: string;
  property: string;
  when: string;
  standing: string;
  /** When the work is open, and what bars it. */
  window: string;
  due: string;
  purpose: string;
  steps: string[];
  stepsSource: SheetSource;
  crew: string;
  gear: string;
  kit: string;
  rate: string;
  rateSource: SheetSource;
  sketch: Drawing | null;
  sketchLabel: string;
  lines: SheetLine[];
  linesMore: number;
  places: SheetPlace[];
  placesMore: number;
  cautions: Caution[];
  /** Who comes before this sheet, each once. */
  deferTo: string;
  contacts: { who: string; how: string }[];
  contactsMore: number;
  planNote: string;
  madeOn: string;
  packetPath: string;
  /** It says so much that it needs small print to stay on one page. */
  isDense: boolean;
}

/** Printed lines that one page has room for; rows that do not fit are counted. */
const linesRoom = 12;
const placesRoom = 13;
const contactsRoom = 9;
/** Letters of the sentence on when the work is open; the page of the unit has all of it. */
const windowMost = 420;
/** Letters to a printed line of half the page, in small print. */
const lettersALine = 62;

const printedLines = (...texts: string[]) =>
  Math.ceil(texts.reduce((sum, text) => sum + text.length + 2, 0) / lettersALine);

/** The first rows that fit into so many printed lines. */
function fitting<T>(rows: readonly T[], room: number, textsOf: (row: T) => string[]): T[] {
  let used = 0;
  return rows.filter((row) => {
    used += printedLines(...textsOf(row));
    return used <= room;
  });
}

const standingWords: Readonly<Record<SheetTask['standing'], string>> = {
  planned: 'tentative: the dates are a plan',
  called: 'called by the burn boss',
  'under-way': 'under way',
  done: 'done',
  cancelled: 'cancelled',
};

const noSource: SheetSource = { status: '', words: '' };

const sourceOf = ({ status, source }: Source): SheetSource => ({
  status: words.statusNames[status],
  words: source === '' ? '' : `: ${source}`,
});

/** Text that somebody typed, cut to what a page has room for. */
const shortened = (text: string, most: number) =>
  text.length <= most ? text : `${text.slice(0, most - 1).trimEnd()}…`;

function whenOf({ startsOn, lastDay, isWhenFit, isTied }: SheetTask): string {
  if (startsOn === null || lastDay === null) return 'no burn of this block is in the plan';
  const dates = words.span(startsOn, lastDay);
  if (isTied) return `with the burn day, dated once it is called; the burn is planned ${dates}`;
  return isWhenFit ? `one day when fit, ${dates}; the burn boss calls it by phone or text` : dates;
}

function windowOf(
  operation: Operation,
  task: SheetTask,
  property: Property,
  today: IsoDate,
): string {
  const { treatment, units, startsOn } = task;
  const year = yearOfSeason(startsOn ?? today, property.burningSeasonStart);
  const [unit] = units;
  if (!treatment || !unit) return '';
  const sentences = new Map<string, string[]>();
  for (const one of units) {
    const sentence = openYearSentence(openYear(treatment, one, property, operation, year));
    sentences.set(sentence, [...(sentences.get(sentence) ?? []), one.code]);
  }
  const said = [...sentences];
  return said.length === 1
    ? (said[0]?.[0] ?? '')
    : said.map(([sentence, codes]) => `${words.list(codes)}: ${sentence}`).join(' ');
}

const perWords: Readonly<Record<Rate['per'], string>> = {
  'person-day': 'person-day',
  'crew-day': 'crew day',
  'machine-hour': 'machine-hour',
};

const basisWords: Readonly<Record<Exclude<Rate['basis'], 'fixed'>, string>> = {
  acre: 'acre',
  'line-foot': 'foot of line',
  point: 'point',
};

function amountOf(rate: Rate, density: DensityClass | null): number {
  return typeof rate.amount === 'number' ? rate.amount : rate.amount[density ?? 'moderate'];
}

/** "0.7 acres a person-day at moderate density; 4 people: 2.8 acres a day; 31 acres, 11.5 crew days in all". */
function rateOf(operation: Operation, task: SheetTask): { rate: string; rateSource: SheetSource } {
  const { treatment, units, planned, crewIds, areaAcres } = task;
  const [unit] = units;
  if (!treatment || !unit) return { rate: '', rateSource: noSource };
  const { rate } = treatmentOn(operation, treatment, unit);
  const own = ownRateOn(operation, treatment, unit);
  const rateSource = own ? { status: ownRateWords(own), words: '' } : sourceOf(rate);
  const inAll = planned && planned.crewDaysTenths > 0 ? words.crewDays(planned.crewDaysTenths) : '';
  if (rate.basis === 'fixed') {
    const amount = words.count(amountOf(rate, unit.densityClass), 'crew day');
    return { rate: inAll === '' ? amount : `${inAll} in all`, rateSource };
  }
  const noun = basisWords[rate.basis];
  const plural = rate.basis === 'line-foot' ? 'feet of line' : `${noun}s`;
  const amount = amountOf(rate, unit.densityClass);
  const people = operation.crews
    .filter(({ id }) => crewIds.includes(id))
    .reduce((sum, crew) => sum + crew.peopleCount, 0);
  const size =
    rate.basis === 'line-foot'
      ? lineWorkFeet(
          operation,
          units.map(({ id }) => id),
        )
      : rate.basis === 'acre'
        ? areaAcres
        : null;
  const density =
    typeof rate.amount === 'number'
      ? ''
      : ` at ${unit.densityClass ?? 'moderate'} density${unit.densityClass ? '' : ' (density is not noted)'}`;
  const parts = [`${words.count(amount, noun, plural)} a ${perWords[rate.per]}${density}`];
  if (rate.per === 'person-day' && people > 1)
    parts.push(`${people} people: ${words.count(amount * people, noun, plural)} a day`);
  const whole = [size === null ? '' : words.count(Math.round(size * 10) / 10, noun, plural), inAll];
  const said = whole.filter((part) => part !== '').join(', ');
  if (said !== '') parts.push(`${said} in all`);
  return { rate: parts.join('; '), rateSource };
}

function lineRow(
  operation: Operation,
  property: Property,
  line: Line,
  index: number,
  today: IsoDate,
): SheetLine {
  const goodUntil = lineGoodUntil(line, operation.lineKinds, property.anchors);
  const rule = operation.lineKinds.find(({ key }) => key === line.kind);
  const needsWork = rule?.needsWork ?? false;
  const isOver = goodUntil !== null && goodUntil < today;
  const parts = [
    line.kind,
    words.count(Math.round(line.lengthFeet), 'foot', 'feet'),
    line.widthFeet === null ? '' : `${words.number(line.widthFeet)} feet wide`,
    line.readyOn !== null ? `made ${words.date(line.readyOn)}` : needsWork ? 'not made' : '',
    goodUntil === null ? '' : `${isOver ? 'was good' : 'good'} until ${words.date(goodUntil)}`,
    line.path === null ? 'not on the sketch' : '',
  ];
  return {
    number: index + 1,
    name: shortened(line.name, 60),
    about: parts.filter((part) => part !== '').join(', '),
    isOpen: isOver || (needsWork && line.readyOn === null),
  };
}

/** Places on the units themselves, else near enough to be drawn; those that bar or endanger come first. */
function placesOf(operation: Operation, task: SheetTask, sketch: Drawing | null): PointToProtect[] {
  const unitIds = new Set(task.units.map(({ id }) => id));
  const drawn = new Set(sketch?.points.map(({ name }) => name));
  const rank = (point: PointToProtect) =>
    point.unitIds.some((id) => unitIds.has(id)) ? 0 : point.kind === 'hazard' ? 1 : 2;
  return operation.points
    .filter(
      (point) =>
        point.propertyId === task.propertyId &&
        (point.unitIds.some((id) => unitIds.has(id)) || drawn.has(point.name)),
    )
    .sort((a, b) => rank(a) - rank(b) || a.id - b.id);
}

/** What people have to find, wherever it lies: the nearest one is named where the sketch shows none of its kind. */
const kindsToFind = ['way-out', 'gate', 'water'] as const;

const compass = [
  'east',
  'northeast',
  'north',
  'northwest',
  'west',
  'southwest',
  'south',
  'southeast',
];

/** The nearest place of each kind to find that is not among `shown`, with its distance from the middle of the units. */
function nearestOf(
  operation: Operation,
  task: SheetTask,
  shown: readonly PointToProtect[],
): SheetPlace[] {
  const boundaries = task.units.flatMap(({ boundary }) => (boundary ? [centroidOf(boundary)] : []));
  const [middle] = boundaries;
  if (!middle) return [];
  const project = projectToFeet(middle);
  return kindsToFind.flatMap((kind): SheetPlace[] => {
    if (shown.some((point) => point.kind === kind)) return [];
    const found = operation.points
      .filter((point) => point.propertyId === task.propertyId && point.kind === kind)
      .flatMap((point) => {
        if (!point.position) return [];
        const [east, north] = project(point.position);
        return [{ point, feet: Math.hypot(east, north), angle: Math.atan2(north, east) }];
      })
      .sort((a, b) => a.feet - b.feet);
    const [nearest] = found;
    if (!nearest) return [];
    const toward = compass[(Math.round(nearest.angle / (Math.PI / 4)) + 8) % 8] ?? '';
    const row = placeRow(nearest.point);
    const far = `${words.number(Math.round(nearest.feet / 100) * 100)} feet ${toward}, outside the sketch`;
    return [{ ...row, about: `${row.about}; ${far}` }];
  });
}

function placeRow(point: PointToProtect): SheetPlace {
  const bars = point.barsFamilies.map((family) => words.familyNames[family].toLowerCase());
  const span =
    point.opens !== null && point.closes !== null
      ? ` ${words.monthDayWords(point.opens)} to ${words.monthDayWords(point.closes)}`
      : '';
  const parts = [
    pointNames[point.kind],
    shortened(point.rule, 120),
    point.bufferFeet > 0 ? `keep ${words.number(point.bufferFeet)} feet off` : '',
    bars.length > 0
      ? `${point.firmness === 'hard' ? 'bars' : 'ask first for'} ${words.list(bars)}${span}`
      : '',
  ];
  return {
    letter: pointLetters[point.kind],
    name: shortened(point.name, 60),
    about: parts.filter((part) => part !== '').join('; '),
  };
}

/** People to call, as entered: the landowner, who holds a lease, who gave a neighbor's consent, the people of a burn. */
function contactsOf(operation: Operation, task: SheetTask, property: Property): Sheet['contacts'] {
  const unitIds = new Set(task.units.map(({ id }) => id));
  const isHere = (row: { propertyId: number; unitIds: number[] }) =>
    row.propertyId === property.id &&
    (row.unitIds.length === 0 || row.unitIds.some((id) => unitIds.has(id)));
  const owner = operation.landowners.find(({ id }) => id === property.landownerId);
  const block = operation.blocks.find(({ id }) => id === task.blockId);
  const boss = block?.readiness.roles.find(({ role }) => role === 'boss');
  const bossPerson = operation.people.find(({ id }) => id === boss?.personId);
  const contacts = [
    ...(owner ? [{ who: `${owner.name}, landowner`, how: owner.contact }] : []),
    ...(task.family === 'burn' && bossPerson
      ? [{ who: `${bossPerson.name}, burn boss named`, how: bossPerson.contact }]
      : []),
    ...operation.consents
      .filter((consent) => consent.isNeighbour && isHere(consent))
      .map(({ givenBy, note }) => ({ who: `${givenBy}, neighbor`, how: note })),
    ...operation.leases.filter(isHere).map(({ holder, contact, rule }) => ({
      who: `${holder}, lease`,
      how: [contact, rule].filter((part) => part !== '').join('; '),
    })),
  ];
  return contacts.map(({ who, how }) => ({ who: shortened(who, 70), how: shortened(how, 110) }));
}

function groundOf(operation: Operation, task: SheetTask): string {
  const [unit] = task.units;
  if (!unit) return '';
  const names = new Set(
    task.units.map(
      ({ communityKey }) =>
        operation.communities.find(({ key }) => key === communityKey)?.name ?? communityKey,
    ),
  );
  const isOne = task.units.length === 1;
  const parts = [
    words.list([...names]),
    isOne && unit.aspect ? `faces ${unit.aspect}` : '',
    isOne && unit.slopePercent !== null ? `slope ${words.number(unit.slopePercent)} %` : '',
    isOne && unit.densityClass ? `${unit.densityClass} density` : '',
    isOne && unit.tags.length > 0 ? unit.tags.join(', ') : '',
  ];
  return parts.filter((part) => part !== '').join(', ');
}

function placeOf(operation: Operation, { units, blockId, planned }: SheetTask): string {
  const block = operation.blocks.find(({ id }) => id === blockId);
  const [unit] = units;
  const whole = block ? unitsOf(operation, block) : [];
  if (!block || !unit) return '';
  const part = planned && planned.part !== '-' ? `, part ${planned.part}` : '';
  if (units.length === 1 && whole.length >= 1) return `${unit.code} ${unit.name}${part}`;
  return `${block.code} ${block.name} (${words.list(units.map(({ code }) => code))})${part}`;
}

/** What the sheet of a task says. `planNote` names the plan, for the title block. */
export function sheetOf(
  operation: Operation,
  task: SheetTask,
  today: IsoDate,
  planNote: string,
): Sheet | null {
  const property = operation.properties.find(({ id }) => id === task.propertyId);
  const block = operation.blocks.find(({ id }) => id === task.blockId);
  if (!property || !block) return null;
  const { treatment, planned } = task;
  const lines = outerLines(operation, block);
  const sketch = sketchOf(operation, property, task.units, lines);
  const places = placesOf(operation, task, sketch);
  const cautions = treatment ? cautionsFor(operation, [treatment.key]) : [];
  const told = operation.sheetTables.instructions.find(({ key }) => key === treatment?.key);
  const gearKeys = planned
    ? [...new Set(planned.gearShares.map(({ gearKey }) => gearKey))]
    : (treatment?.gear ?? []);
  const crews = operation.crews.filter(({ id }) => task.crewIds.includes(id));
  const place = placeOf(operation, task);
  const lineRows = lines.map((line, index) => lineRow(operation, property, line, index, today));
  const nearest = nearestOf(operation, task, places);
  const placeTexts = ({ name, about }: SheetPlace) => [name, about];
  const placesLeft = placesRoom - printedLines(...nearest.flatMap(placeTexts));
  const ownPlaces = fitting(places.map(placeRow), placesLeft, placeTexts);
  const shownLines = fitting(lineRows, linesRoom, ({ name, about }) => [name, about, 'to do']);
  const contacts = contactsOf(operation, task, property);
  const shownContacts = fitting(contacts, contactsRoom, ({ who, how }) => [who, how]);
  return {
    path: task.key === '' ? '' : sheetPath(task.key),
    id: `sheet-${(task.key || `block-${block.id}`).replace(/[^a-zA-Z0-9]+/g, '-')}`,
    family: task.family,
    letter: words.familyLetters[task.family],
    name: task.name,
    place,
    acres: words.acres(Math.round(task.areaAcres * 10) / 10),
    ground: groundOf(operation, task),
    property: `${property.name}, ${property.county} County, ${property.state}`,
    when: whenOf(task),
    standing: standingWords[task.standing],
    window: shortened(windowOf(operation, task, property, today), windowMost),
    due: planned?.dueOn ? `due ${words.date(planned.dueOn)}` : '',
    purpose: treatment?.purpose ?? '',
    steps: told?.steps ?? [],
    stepsSource: told ? sourceOf(told) : noSource,
    crew: words.list(
      crews.map((crew) => `${crew.name} (${words.count(crew.peopleCount, 'person', 'people')})`),
    ),
    gear: words.list(
      operation.gear.filter(({ key }) => gearKeys.includes(key)).map(({ name }) => name),
    ),
    kit: treatment?.kit ?? '',
    ...rateOf(operation, task),
    sketch,
    sketchLabel: `Sketch of ${place} and what lies around it, north up`,
    lines: shownLines,
    linesMore: lineRows.length - shownLines.length,
    places: [...ownPlaces, ...nearest],
    placesMore: places.length - ownPlaces.length,
    cautions,
    deferTo: [...new Set(cautions.map(({ deferTo }) => deferTo.trim().replace(/\.$/, '')))].join(
      '; ',
    ),
    contacts: shownContacts,
    contactsMore: contacts.length - shownContacts.length,
    planNote: planNote === '' ? 'no plan in force' : planNote,
    madeOn: words.date(today),
    packetPath: task.family === 'burn' ? `/packets/${block.id}` : '',
    isDense:
      task.family === 'burn' ||
      cautions.length + lines.length + places.length + contacts.length > 9,
  };
}
