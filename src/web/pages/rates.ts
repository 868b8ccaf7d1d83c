import { unusedFitDays } from '../../core/burn-papers.ts';
import { burnWaits, fitDayUses } from '../../core/fit-day-use.ts';
import {
  entriesLeast,
  type Figure,
  type LearnedLighting,
  type LearnedRate,
  type LearnedUse,
  learnedLighting,
  learnedRates,
  learnedUse,
} from '../../core/learning.ts';
import { type OwnRate, ownRateWords } from '../../core/own-rates.ts';
import type { Problem } from '../../core/problems.ts';
import type { Property } from '../../core/properties.ts';
import { supplySettingsDefault } from '../../core/weather/supply.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { sourceWords } from './sequences.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

/** One figure of the log beside the one that the plan uses, with what can be done about it. */
export interface RateLine {
  name: string;
  density: string;
  treatmentKey: string;
  densityClass: string;
  /** "2.5 acres a crew day". */
  learned: string;
  spread: string;
  hours: string;
  leftOut: string;
  /** What the plan uses now and where it comes from. */
  inUse: string;
  source: string;
  /** What accepting would do; empty = not offered. */
  offer: string;
  waiting: string;
  isAccepted: boolean;
}

export interface RatesPage {
  shell: Shell;
  properties: {
    id: number;
    name: string;
    lines: RateLine[];
    lighting: RateLine;
    /** Entries of treatments that no line is about. */
    rest: string;
  }[];
  use: {
    words: string;
    reasons: string[];
    inUse: string;
    offer: string;
    isDefault: boolean;
    defaultWords: string;
  };
  entriesLeast: number;
  /** Planned tasks that the change would break, and the form that does it all the same. */
  breaks: Problem[];
  asked: Record<string, string>;
}

const figure = (value: number) => words.number(value, value < 1 ? 2 : 1);

/** "2.5 acres a crew day". */
function acresA(value: number, per: string): string {
  const said = figure(value);
  return `${said} ${said === '1' ? 'acre' : 'acres'} ${per}`;
}

function spreadWords({ count, median, lowest, highest, interval }: Figure, noun: string): string {
  const counted = words.count(count, noun, noun === 'entry' ? 'entries' : `${noun}s`);
  if (count === 1) return counted;
  const range = `${counted}: median ${figure(median)}, from ${figure(lowest)} to ${figure(highest)}`;
  return interval
    ? `${range}; mean between ${figure(interval.low)} and ${figure(interval.high)} (95 %)`
    : range;
}

function waitingWords(count: number): string {
  const left = entriesLeast - count;
  return left > 0 ? `offered after ${left} more` : '';
}

const leftOutWords = (count: number) =>
  count === 0
    ? ''
    : `${words.count(count, 'entry', 'entries')} left out: no acres, or no days and hours`;

const perWords: Record<LearnedRate['treatment']['rate']['per'], string> = {
  'crew-day': 'crew day',
  'person-day': 'person-day',
  'machine-hour': 'machine-hour',
};

/** Same to the digits that are shown: accepting it again would change nothing to be seen. */
const isSame = (accepted: OwnRate | null, overall: number) =>
  accepted !== null && Math.abs(accepted.mean - overall) < 0.005 * overall;

function rateLine(one: LearnedRate): RateLine {
  const { treatment, densityClass, acresACrewDay, hoursAnAcre, accepted, offered } = one;
  const library = one.libraryACrewDay === null ? '' : acresA(one.libraryACrewDay, 'a crew day');
  const per = perWords[treatment.rate.per];
  const isNew = offered !== null && acresACrewDay && !isSame(accepted, acresACrewDay.overall);
  const isByAcres = treatment.rate.basis === 'acre';
  return {
    name: treatment.name,
    density: densityClass === 'moderate' ? 'moderate, or not noted' : densityClass,
    treatmentKey: treatment.key,
    densityClass,
    learned: isByAcres
      ? acresACrewDay
        ? acresA(acresACrewDay.overall, 'a crew day')
        : 'no crew days noted'
      : 'planned by the job, not by acres',
    spread: isByAcres && acresACrewDay ? spreadWords(acresACrewDay, 'entry') : '',
    hours: hoursAnAcre
      ? `${figure(hoursAnAcre.overall)} (${spreadWords(hoursAnAcre, 'entry')})`
      : 'none noted',
    leftOut: leftOutWords(one.leftOutCount),
    inUse: accepted ? acresA(accepted.mean, 'a crew day') : library || 'days a job, not acres',
    source: accepted ? ownRateWords(accepted) : sourceWords(treatment.rate),
    offer: isNew
      ? `${acresA(acresACrewDay.overall, 'a crew day')}${per === 'crew day' ? '' : `, ${acresA(offered, `a ${per}`)}`}`
      : '',
    waiting: isByAcres && !accepted ? waitingWords(acresACrewDay?.count ?? 0) : '',
    isAccepted: accepted !== null,
  };
}

function lightingLine(one: LearnedLighting): RateLine {
  const { acresAnHour, accepted, byClock, byPersonHours } = one;
  const from = [
    ...(byClock > 0 ? [`${byClock} by the clock`] : []),
    ...(byPersonHours > 0 ? [`${byPersonHours} worked out from person-hours`] : []),
  ];
  const isNew = one.isOffered && acresAnHour && !isSame(accepted, acresAnHour.overall);
  return {
    name: 'Lighting burns',
    density: '',
    treatmentKey: '',
    densityClass: '',
    learned: acresAnHour ? acresA(acresAnHour.overall, 'an hour') : 'no burn with acres and hours',
    spread: acresAnHour ? `${spreadWords(acresAnHour, 'burn')}; ${from.join(', ')}` : '',
    hours: '',
    leftOut:
      one.leftOutCount === 0
        ? ''
        : `${words.count(one.leftOutCount, 'burn')} left out: no acres, or no times and hours`,
    inUse: acresA(accepted ? accepted.amount : one.libraryAnHour, 'an hour'),
    source: accepted
      ? ownRateWords(accepted).replace('entries', 'burns')
      : 'common practice, no source: strips a chain apart by two lighters',
    offer: isNew ? acresA(acresAnHour.overall, 'an hour') : '',
    waiting: accepted ? '' : waitingWords(acresAnHour?.count ?? 0),
    isAccepted: accepted !== null,
  };
}

/** Fit days on which burns of any property waited: one boss lights one fire a day, so each day counts once. */
export function fitDayUseOf(deps: Deps): LearnedUse {
  const operation = deps.operation();
  const notes = unusedFitDays(operation);
  const adopted = deps.plans.everInForce();
  const uses = operation.properties.flatMap((property) => {
    const waits = burnWaits(operation, property, adopted, todayAt(deps, property));
    const fit = new Map<string, boolean | null>();
    for (const { prescriptionKey, from, before } of waits)
      for (const { date, verdict } of deps.fitDays.daysAt(
        property.id,
        prescriptionKey,
        from,
        before,
      ))
        fit.set(`${prescriptionKey} ${date}`, verdict === 'unknown' ? null : verdict === 'fit');
    return fitDayUses(
      operation,
      property,
      waits,
      notes,
      (key, day) => fit.get(`${key} ${day}`) ?? null,
    );
  });
  return learnedUse(uses);
}

const percent = (share: number) => `${Math.round(share * 100)} %`;

const reasonNames: Record<string, string> = {
  people: 'too few people',
  landowner: 'the landowner',
  smoke: 'smoke',
  gear: 'gear',
  ban: 'a burn ban',
  unsure: 'unsure of the weather',
};

function useOf(deps: Deps): RatesPage['use'] {
  const { usedShare } = deps.operation().settings.supply;
  const use = fitDayUseOf(deps);
  const isNew = use.isOffered && use.share !== null && Math.abs(use.share - usedShare) >= 0.005;
  return {
    words:
      use.share === null
        ? 'No fit day has passed yet on which a planned burn was waiting.'
        : `${use.litDays} of ${words.count(use.fitDays, 'fit day')} on which a burn was waiting: ${percent(use.share)}.`,
    reasons: use.reasons.map(({ reason, count }) => `${reasonNames[reason] ?? reason}: ${count}`),
    inUse: percent(usedShare),
    offer: isNew && use.share !== null ? percent(use.share) : '',
    isDefault: usedShare === supplySettingsDefault.usedShare,
    defaultWords: percent(supplySettingsDefault.usedShare),
  };
}

function propertyRates(deps: Deps, property: Property): RatesPage['properties'][number] {
  const operation = deps.operation();
  const learned = learnedRates(operation, property);
  const isTold = ({ treatment, acresACrewDay, hoursAnAcre, accepted }: LearnedRate) =>
    accepted !== null ||
    hoursAnAcre !== null ||
    (treatment.rate.basis === 'acre' && acresACrewDay !== null);
  const rest = learned.filter((one) => !isTold(one)).map(({ treatment }) => treatment.name);
  return {
    id: property.id,
    name: property.name,
    lines: learned.filter(isTold).map(rateLine),
    rest: words.list([...new Set(rest)]),
    lighting: lightingLine(learnedLighting(operation, property, deps.worklog.details())),
  };
}

/** What the page of own rates shows; `asked` is a change that would break planned tasks, `breaks` which. */
export function ratesPage(
  deps: Deps,
  breaks: Problem[] = [],
  asked: Record<string, string> = {},
): RatesPage {
  return {
    shell: shellOf(deps, 'more', 'How fast does the work really go?'),
    properties: deps.operation().properties.map((property) => propertyRates(deps, property)),
    use: useOf(deps),
    entriesLeast,
    breaks,
    asked,
  };
}
