import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import {
  type LetterShare,
  type LetterWork,
  type OwnerLetterContent,
  ownerLetterContent,
} from '../../core/owner-letter.ts';
import type { Property } from '../../core/properties.ts';
import type { PlannedTaskFate } from '../../core/season-slips.ts';
import type { Family } from '../../core/treatments.ts';
import type { Unit } from '../../core/units.ts';
import type { OwnerLetter } from '../../core/visits.ts';
import type { Deps } from '../deps.ts';
import type { FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

export interface LetterQuery {
  owner: number;
  season: number;
  when: 'before' | 'after';
}

export interface LetterPart {
  title: string;
  lines: string[];
  /** Said where there are none. */
  empty: string;
}

export interface OwnerLetterPage {
  shell: Shell;
  query: LetterQuery;
  owner: string;
  land: string;
  day: string;
  subject: string;
  greeting: string;
  closing: string;
  opening: string;
  parts: LetterPart[];
  form: FormState;
  links: { name: string; path: string; isCurrent: boolean }[];
  path: string;
}

const familyPlain: Record<Family, string> = {
  burn: 'Fire',
  cut: 'Cutting',
  line: 'Firebreaks',
  spray: 'Spraying',
  plant: 'Planting',
  monitor: 'Visits',
  notice: 'Papers',
};

const seeByFamily: Partial<Record<Family, string[]>> = {
  burn: [
    'Smoke for a day or two, and people and a truck on the land until the fire is out.',
    'Black ground afterward. It greens up within weeks once the weather warms; low cedar and brush turn brown.',
  ],
  spray: ['Plants that yellow and die in the treated spots.'],
  plant: ['Bare or thin ground until the seed takes; that can take two years.'],
  line: ['Strips of mown, raked or bare ground around the land to be burned.'],
};

const cedarSeen =
  'Felled cedar left lying. It turns brown and dries where it lies, for a year or two, and feeds the fire later.';
const cutSeen = 'Trees felled or ringed and left standing dead, to let in light.';

/** "Jul 2026 to Jun 2027", by the first month of the season. */
export function seasonPlain(season: number, { burningSeasonStart }: Property): string {
  const first = Number(burningSeasonStart.slice(0, 2));
  const name = (month: number) => words.monthNames[(month + 11) % 12] ?? '';
  return first === 1
    ? String(season)
    : `${name(first)} ${season} to ${name(first - 1)} ${season + 1}`;
}

const unitWords = (units: readonly Unit[]) =>
  words.list(units.map(({ code, name }) => (name === '' ? code : `${name} (${code})`)));

/** One page has to do: the first of a long list, and how many more there are. */
function firstOf(list: readonly string[], most: number): string[] {
  if (list.length <= most) return [...list];
  return [...list.slice(0, most - 1), `and ${list.length - most + 1} more`];
}

const placesMost = 8;

function placeLine(
  { units, areaAcres, startsOn, lastDay }: LetterWork['places'][number],
  hasAcres: boolean,
): string {
  const acres = hasAcres ? `, ${words.acres(areaAcres)}` : '';
  const dates = startsOn && lastDay ? `, ${words.span(startsOn, lastDay)}` : '';
  return `${unitWords(units)}${acres}${dates}`;
}

function workLines(work: readonly LetterWork[]): string[] {
  return work.map(({ name, family, countsAcres, places }) => {
    const lines = firstOf(
      places.map((place) => placeLine(place, countsAcres)),
      placesMost,
    );
    const one = places.length > 1 ? 'One day each' : 'One day';
    const when = places.some(({ isWhenFit }) => isWhenFit)
      ? ` ${one} in these weeks, when the weather is right:`
      : '';
    return `${familyPlain[family]}: ${name}.${when} ${lines.join('; ')}.`;
  });
}

function seeLines(work: readonly LetterWork[]): string[] {
  const families = new Set(work.map(({ family }) => family));
  const cut = work.filter(({ family }) => family === 'cut');
  return [
    ...[...families].flatMap((family) => seeByFamily[family] ?? []),
    ...(cut.some(({ isCedar }) => isCedar) ? [cedarSeen] : []),
    ...(cut.some(({ isCedar }) => !isCedar) ? [cutSeen] : []),
  ];
}

function grazingLine(
  content: OwnerLetterContent,
  unitOf: (id: number) => Unit | undefined,
): string[] {
  const burned = content.work.some(({ family }) => family === 'burn');
  if (!burned) return [];
  return content.grazing.map((span) => {
    const units = unitWords(span.unitIds.flatMap((id) => unitOf(id) ?? []));
    const stock = span.stock === 'cattle' ? 'Cattle' : span.stock === 'hay' ? 'Hay' : 'Stock';
    const rest = `${words.count(span.restDaysBeforeFire, 'day')} before a fire`;
    const back = `no sooner than ${words.count(span.deferDaysAfterFire, 'day')} after it`;
    return `${stock} on ${units}: off ${rest}, on again ${back}.`;
  });
}

function doLines(content: OwnerLetterContent, operation: Operation): string[] {
  const { work, leases, gates, stands, withoutConsent } = content;
  const unitOf = (id: number) => operation.units.find((unit) => unit.id === id);
  const isBurn = work.some(({ family }) => family === 'burn');
  const isSpray = work.some(({ family }) => family === 'spray');
  const named = stands.map(({ name }) => name);
  return [
    ...(isBurn
      ? [
          `Move stands, feeders and cameras off this ground before the first day${named.length > 0 ? `: ${words.list(named)}` : ''}.`,
        ]
      : []),
    ...grazingLine(content, unitOf),
    ...leases.map(
      ({ holder, rule }) =>
        `Tell ${holder}${rule.trim() === '' ? '' : ` (${rule.trim().replace(/\.$/, '')})`}.`,
    ),
    ...(gates.length > 0 && isBurn
      ? [`Keep clear and unlocked: ${words.list(gates.map(({ name }) => name))}.`]
      : []),
    ...(isBurn
      ? [
          ...(withoutConsent.length > 0
            ? [`We still need your written yes to a fire on ${unitWords(withoutConsent)}.`]
            : []),
          'We call you the day before or the same morning; a date in this letter is no promise. Stay away from the fire unless you are asked to help.',
        ]
      : []),
    ...(isSpray
      ? ['Stay off sprayed ground for as long as the label says; ask us which one it is.']
      : []),
  ];
}

function shareLine({ contract, practice, contractAcres, unitAcres }: LetterShare): string {
  const name = [practice.number, practice.name].filter((part) => part !== '').join(' ');
  const payment =
    practice.paymentUsd === null
      ? 'payment not entered'
      : `${words.money(practice.paymentUsd)}${practice.paymentBasis === 'acre' ? ' an acre' : ' for all of it'}`;
  const acres = `${contractAcres === null ? 'acres of the contract not entered' : `${words.number(contractAcres)} acres in the contract`}, ${words.number(unitAcres)} acres on the ground`;
  const state =
    contract.approvedOn === null
      ? 'not approved yet'
      : `approved ${words.date(contract.approvedOn)}`;
  return `${contract.program}${contract.number === '' ? '' : ` ${contract.number}`}, ${name}: ${payment}; ${acres}; ${state}. The office decides what is paid.`;
}

function costLines({ costUsd, shares }: OwnerLetterContent, when: LetterQuery['when']): string[] {
  const cost =
    when === 'before'
      ? costUsd > 0
        ? [`Hired crews, at their price of a day: about ${words.money(costUsd)}.`]
        : ['No hired crews in this season.']
      : [`Spent, as written down: ${words.money(costUsd)}, without our own people's time.`];
  return [...cost, ...shares.map(shareLine)];
}

/** Why, in the words of who was there; what only the planning knows is said in a few plain ones. */
function slipReason({ fate, reason }: PlannedTaskFate): string {
  const text = reason.trim().replace(/\.$/, '');
  if (fate === 'late' || fate === 'partly' || fate === 'not-possible' || fate === 'not-done')
    return text === '' ? 'nobody wrote down why' : text;
  if (fate === 'passed-over') return 'it was no longer needed';
  if (/fit day|weather/i.test(text)) return 'too few days had the right weather';
  if (/crew|people|boss/i.test(text)) return 'there were too few hands';
  return 'other work had to come first';
}

function slipLines(slips: readonly PlannedTaskFate[], operation: Operation): string[] {
  const lines = slips.map((slip) => {
    const units = operation.units.filter((unit) =>
      slip.unitId === null ? unit.blockId === slip.blockId : unit.id === slip.unitId,
    );
    const became: Partial<Record<PlannedTaskFate['fate'], string>> = {
      late: `done ${words.count(slip.lateDays, 'day')} later than we said`,
      partly: 'done in part, the rest is still to do',
      'not-possible': 'could not be done',
      'passed-over': 'left undone',
      moved: slip.nowOn ? `now set for ${words.date(slip.nowOn)} or soon after` : 'moved',
      'left-out': 'not in this season',
      'not-done': 'not done',
    };
    return `${slip.name}, ${unitWords(units)}: ${became[slip.fate] ?? ''}. Why: ${slipReason(slip)}.`;
  });
  return firstOf(lines, placesMost);
}

function aheadLines({ ahead, properties: [first] }: OwnerLetterContent): string[] {
  return ahead
    .filter(({ work }) => work.length > 0)
    .map(({ season, work }) => {
      const kinds = work.map(
        ({ name, places }) =>
          `${name}, ${firstOf(
            places.map(({ units }) => unitWords(units)),
            placesMost,
          ).join(', ')}`,
      );
      return `${first ? seasonPlain(season, first) : season}: ${kinds.join('; ')}.`;
    });
}

function partsOf(
  content: OwnerLetterContent,
  operation: Operation,
  when: LetterQuery['when'],
): LetterPart[] {
  const isDone = when === 'after';
  const part = (title: string, lines: string[], empty: string): LetterPart => ({
    title,
    lines,
    empty,
  });
  return [
    part(
      isDone ? 'What was done' : 'What we plan, and when',
      workLines(content.work),
      isDone
        ? 'Nothing is written down for this season yet.'
        : 'Nothing is planned in this season.',
    ),
    part('What you will see', seeLines(content.work), 'Nothing out of the ordinary.'),
    ...(isDone
      ? []
      : [part('What we ask of you', doLines(content, operation), 'Nothing this season.')]),
    part('Cost and cost-share', costLines(content, when), ''),
    part(
      isDone ? 'What did not go as we said' : 'What did not go as we said last season',
      slipLines(content.slips, operation),
      content.hadPlan
        ? 'Everything that we had planned was done.'
        : 'There was no plan for that season to hold it against.',
    ),
    part('The next two years', aheadLines(content), 'Not planned yet.'),
  ];
}

/** The query as typed. Throws 404 for one that names no letter. */
export function letterQuery(raw: Record<string, string | undefined>): LetterQuery {
  const owner = /^[1-9]\d{0,9}$/.test(raw['owner'] ?? '') ? Number(raw['owner']) : null;
  const season = /^(19|20)\d\d$/.test(raw['season'] ?? '') ? Number(raw['season']) : null;
  const when = raw['when'] === 'after' ? 'after' : raw['when'] === 'before' ? 'before' : null;
  if (owner === null || season === null || when === null)
    throw new PageError(404, 'There is no letter at this address.');
  return { owner, season, when };
}

const letterPath = ({ owner, season, when }: LetterQuery) =>
  `/reports/letter?owner=${owner}&season=${season}&when=${when}`;

export const closingDefault =
  'Call us with any question, and before you change anything on this ground.';

/** Words that the office wrote for a landowner; blank where it wrote none yet. */
export function lettersOf(operation: Operation, ownerId: number): OwnerLetter {
  const kept = operation.ownerLetters.find(({ landownerId }) => landownerId === ownerId);
  const owner = operation.landowners.find(({ id }) => id === ownerId);
  return (
    kept ?? {
      id: 0,
      landownerId: ownerId,
      greeting: `Dear ${owner?.name ?? ''},`,
      closing: closingDefault,
    }
  );
}

/** A letter to a landowner on one page; `form`: the words around it as typed. */
export function ownerLetterPage(
  deps: Deps,
  query: LetterQuery,
  form: FormState | null = null,
): OwnerLetterPage {
  const operation = deps.operation();
  const [first] = operation.properties.filter(({ landownerId }) => landownerId === query.owner);
  const today: IsoDate = todayAt(deps, first);
  const content = ownerLetterContent(
    operation,
    query.owner,
    query.season,
    query.when,
    deps.plans.everInForce(),
    deps.worklog.details(),
    today,
  );
  if (!content) throw new PageError(404, 'There is no landowner with land at this address.');
  const { greeting, closing } = lettersOf(operation, query.owner);
  const years = seasonPlain(query.season, content.properties[0] as Property);
  const subject =
    query.when === 'before'
      ? `What we plan on your land, ${years}`
      : `What was done on your land, ${years}`;
  const link = (name: string, change: Partial<LetterQuery>) => ({
    name,
    path: letterPath({ ...query, ...change }),
    isCurrent: Object.entries(change).every(
      ([key, value]) => query[key as keyof LetterQuery] === value,
    ),
  });
  return {
    shell: shellOf(deps, 'more', `Letter to ${content.owner.name}`),
    query,
    owner: content.owner.name,
    land: content.properties.map(({ name }) => name).join(' · '),
    day: words.date(today),
    subject,
    ...{ greeting, closing },
    opening:
      query.when === 'before'
        ? 'This is what we mean to do. The weather decides about every fire, and so do local law, the signed burn plan and the person in charge on the day.'
        : 'This is what was done and what it led to, as it was written down.',
    parts: partsOf(content, operation, query.when),
    form: form ?? { values: { greeting, closing }, problems: [] },
    links: [
      link('before the season', { when: 'before' }),
      link('after the season', { when: 'after' }),
      link(`a year earlier`, { season: query.season - 1 }),
      link(`a year later`, { season: query.season + 1 }),
    ],
    path: letterPath(query),
  };
}
