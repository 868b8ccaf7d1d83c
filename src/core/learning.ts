import type { IsoDate } from './dates.ts';
import { oncePerOperation } from './land-index.ts';
import type { Operation } from './operation.ts';
import { type OwnRate, ownLightingRate, ownRateOn } from './own-rates.ts';
import { plotMean } from './plot-mean.ts';
import type { Property } from './properties.ts';
import type { Treatment } from './treatments.ts';
import { type DensityClass, densityClasses, type Unit } from './units.ts';
import { lightingDefault } from './weather/burn-size.ts';
import { dayHoursDefault } from './weather/day-programme.ts';
import type { WorkDetail } from './work-details.ts';
import type { WorkEntry } from './worklog.ts';

/** Entries from which a figure is offered. */
export const entriesLeast = 3;

/** Entries from which the interval of the mean is told: fewer say little of their spread. Our own judgement. */
const intervalFrom = 5;

/** Hours of one person in a day of work, and machine-hours in one: 8 on site, less set-up. Our own judgement. */
const personHoursADay = 8;
const machineHoursADay = 7;

/** A figure of several entries: their sum over their sum, so that a large job counts for more than a small one. */
export interface Figure {
  count: number;
  overall: number;
  /** Of single entries. */
  median: number;
  lowest: number;
  highest: number;
  /** Ends of the 95 % interval of the mean of single entries; null under five. */
  interval: { low: number; high: number } | null;
}

/** Amounts over what they took; nonsense is left out by the caller. */
export function figureOf(pairs: readonly { amount: number; took: number }[]): Figure | null {
  if (pairs.length === 0) return null;
  const sum = (of: (pair: (typeof pairs)[number]) => number) =>
    pairs.reduce((total, pair) => total + of(pair), 0);
  const single = pairs.map(({ amount, took }) => amount / took).sort((a, b) => a - b);
  const count = single.length;
  const middle = (single[Math.floor((count - 1) / 2)]! + single[Math.floor(count / 2)]!) / 2;
  const mean = count < intervalFrom ? null : plotMean(single);
  return {
    count,
    overall: sum(({ amount }) => amount) / sum(({ took }) => took),
    median: middle,
    lowest: single[0]!,
    highest: single[count - 1]!,
    interval:
      mean && mean.low !== null && mean.high !== null ? { low: mean.low, high: mean.high } : null,
  };
}

const isAmount = (value: number | null): value is number =>
  value !== null && Number.isFinite(value) && value > 0;

const placeOf = ({ unitId, treatmentKey }: WorkEntry) => `${unitId} ${treatmentKey}`;

/**
 * Acres that an entry is of. A whole task that is done without acres noted is of the whole unit, unless part of it was
 * logged on its own (`parted`); null = nobody knows.
 */
function acresOf(unit: Unit, entry: WorkEntry, parted: ReadonlySet<string>): number | null {
  if (entry.areaAcres !== null) return entry.areaAcres;
  const isWhole = entry.taskKey === null || entry.taskKey.endsWith('/-');
  const isKnown = entry.outcome === 'done' && isWhole && !parted.has(placeOf(entry));
  return isKnown ? unit.areaAcres : null;
}

interface LoggedJob {
  entry: WorkEntry;
  unit: Unit;
  areaAcres: number | null;
}

/** Work that was done, in full or in part, on a property; fires that nobody planned took no work. */
const jobsOf = oncePerOperation((operation, propertyId: number): LoggedJob[] => {
  const units = new Map(operation.units.map((unit) => [unit.id, unit]));
  const parted = new Set(
    operation.entries
      .filter(({ outcome }) => outcome === 'partly' || outcome === 'under-way')
      .map(placeOf),
  );
  return operation.entries.flatMap((entry) => {
    const unit = units.get(entry.unitId);
    const isDone = entry.outcome === 'done' || entry.outcome === 'partly';
    const isOwn = entry.fireCause === null || entry.fireCause === 'planned';
    if (!unit || unit.propertyId !== propertyId || !isDone || !isOwn) return [];
    return [{ entry, unit, areaAcres: acresOf(unit, entry, parted) }];
  });
});

/** What the log says of one treatment on ground of one density. */
export interface LearnedRate {
  treatment: Treatment;
  densityClass: DensityClass;
  acresACrewDay: Figure | null;
  hoursAnAcre: Figure | null;
  /** Person-days in a crew day: from the hours of the same entries, else the people of the first own crew with the skills. */
  peopleACrewDay: number;
  /** Entries without acres, or without crew days and hours, or with none of them above zero. */
  leftOutCount: number;
  /** In acres by what the treatment's rate is measured by; null where it is not by acres, or the entries are too few. */
  offered: number | null;
  /** Acres a crew day by the rate of the library. */
  libraryACrewDay: number | null;
  accepted: OwnRate | null;
}

/** People of a crew day where the entries do not say: those of the first home crew with the skills, else the least. */
function crewPeople(operation: Operation, treatment: Treatment): number {
  const crew = operation.crews.find(
    ({ kind, skills }) => kind === 'home' && treatment.skills.every((one) => skills.includes(one)),
  );
  return Math.max(1, crew?.peopleCount ?? treatment.peopleLeast);
}

/** How many of the rate's measure are in a crew day. */
function measuresACrewDay(per: Treatment['rate']['per'], people: number): number {
  if (per === 'crew-day') return 1;
  return per === 'person-day' ? people : machineHoursADay;
}

function learnedRate(
  operation: Operation,
  property: Property,
  treatment: Treatment,
  densityClass: DensityClass,
  jobs: readonly LoggedJob[],
): LearnedRate {
  const days = jobs.flatMap(({ areaAcres, entry: { crewDays } }) =>
    isAmount(areaAcres) && isAmount(crewDays) ? [{ amount: areaAcres, took: crewDays }] : [],
  );
  const hours = jobs.flatMap(({ areaAcres, entry: { personHours } }) =>
    isAmount(areaAcres) && isAmount(personHours) ? [{ amount: personHours, took: areaAcres }] : [],
  );
  const people = figureOf(
    jobs.flatMap(({ entry: { personHours, crewDays } }) =>
      isAmount(personHours) && isAmount(crewDays)
        ? [{ amount: personHours / personHoursADay, took: crewDays }]
        : [],
    ),
  );
  const { basis, per, amount } = treatment.rate;
  const peopleACrewDay = people?.overall ?? crewPeople(operation, treatment);
  const measures = measuresACrewDay(per, peopleACrewDay);
  const acresACrewDay = figureOf(days);
  const isByAcres = basis === 'acre';
  const isOffered = isByAcres && acresACrewDay !== null && acresACrewDay.count >= entriesLeast;
  const library = typeof amount === 'number' ? amount : amount[densityClass];
  const isCounted = ({ areaAcres, entry }: LoggedJob) =>
    isAmount(areaAcres) && (isAmount(entry.crewDays) || isAmount(entry.personHours));
  return {
    treatment,
    densityClass,
    acresACrewDay,
    hoursAnAcre: figureOf(hours),
    peopleACrewDay,
    leftOutCount: jobs.filter((job) => !isCounted(job)).length,
    offered: isOffered ? acresACrewDay.overall / measures : null,
    libraryACrewDay: isByAcres ? library * measures : null,
    accepted: ownRateOn(operation, treatment, { propertyId: property.id, densityClass }),
  };
}

/**
 * What the log of a property says of each treatment and density class that has entries, by treatment and class. The class
 * is the one that the unit has now; "moderate" where none is noted, as in planning.
 */
export function learnedRates(operation: Operation, property: Property): LearnedRate[] {
  const byKind = new Map<string, LoggedJob[]>();
  for (const job of jobsOf(operation, property.id)) {
    const key = `${job.entry.treatmentKey} ${job.unit.densityClass ?? 'moderate'}`;
    const known = byKind.get(key);
    if (known) known.push(job);
    else byKind.set(key, [job]);
  }
  return operation.treatments.flatMap((treatment) =>
    densityClasses.flatMap((densityClass) => {
      const own = byKind.get(`${treatment.key} ${densityClass}`) ?? [];
      const accepted = ownRateOn(operation, treatment, { propertyId: property.id, densityClass });
      if (own.length === 0 && !accepted) return [];
      return [learnedRate(operation, property, treatment, densityClass, own)];
    }),
  );
}

/** How long burns of a property took to light. */
export interface LearnedLighting {
  /** Acres an hour of lighting. */
  acresAnHour: Figure | null;
  /** Burns whose hours come from the clock, and from person-hours. */
  byClock: number;
  byPersonHours: number;
  leftOutCount: number;
  isOffered: boolean;
  libraryAnHour: number;
  accepted: OwnRate | null;
}

const minutesOf = (time: string | null): number | null => {
  const [, hours, minutes] = /^(\d{1,2}):(\d{2})$/.exec(time ?? '') ?? [];
  return hours === undefined ? null : Number(hours) * 60 + Number(minutes);
};

interface BurnJob {
  areaAcres: number | null;
  hours: number | null;
  isByClock: boolean;
}

/**
 * Units of one block that burned on one day were one fire: its acres are theirs together, its hours from the first start to
 * the last end. Without times: person-hours over the least people of the block, less set-up and securing.
 */
function burnJob(
  operation: Operation,
  jobs: readonly LoggedJob[],
  details: ReadonlyMap<number, WorkDetail>,
): BurnJob {
  const acres = jobs.map(({ areaAcres }) => areaAcres);
  const areaAcres = acres.every(isAmount) ? acres.reduce((sum, one) => sum + one, 0) : null;
  const times = jobs.flatMap(({ entry }) => details.get(entry.id) ?? []);
  const starts = times.flatMap(({ startedAt }) => minutesOf(startedAt) ?? []);
  const ends = times.flatMap(({ endedAt }) => minutesOf(endedAt) ?? []);
  const minutes = Math.max(...ends) - Math.min(...starts);
  if (starts.length > 0 && ends.length > 0 && minutes > 0)
    return { areaAcres, hours: minutes / 60, isByClock: true };
  const block = operation.blocks.find(({ id }) => id === jobs[0]?.unit.blockId);
  const personHours = jobs.reduce((sum, { entry }) => sum + (entry.personHours ?? 0), 0);
  if (!block || block.burnPeopleLeast === 0 || !isAmount(personHours))
    return { areaAcres, hours: null, isByClock: false };
  const { setUp, secure } = dayHoursDefault;
  const hours = personHours / block.burnPeopleLeast - setUp - secure;
  // A burn takes half an hour at least, whatever its people noted.
  return { areaAcres, hours: Math.max(0.5, hours), isByClock: false };
}

/** What the log of a property says of lighting: acres an hour. */
export function learnedLighting(
  operation: Operation,
  property: Property,
  details: readonly WorkDetail[],
): LearnedLighting {
  const burnKeys = new Set(
    operation.treatments.filter(({ family }) => family === 'burn').map(({ key }) => key),
  );
  const byFire = new Map<string, LoggedJob[]>();
  for (const job of jobsOf(operation, property.id)) {
    if (!burnKeys.has(job.entry.treatmentKey) || job.entry.precision !== 'day') continue;
    const key = `${job.unit.blockId} ${job.entry.doneOn}`;
    byFire.set(key, [...(byFire.get(key) ?? []), job]);
  }
  const byEntry = new Map(details.map((detail) => [detail.entryId, detail]));
  const burns = [...byFire.values()].map((jobs) => burnJob(operation, jobs, byEntry));
  const counted = burns.filter(({ areaAcres, hours }) => isAmount(areaAcres) && isAmount(hours));
  const acresAnHour = figureOf(
    counted.map(({ areaAcres, hours }) => ({ amount: areaAcres!, took: hours! })),
  );
  const { stripChains, lighters } = lightingDefault;
  return {
    acresAnHour,
    byClock: counted.filter(({ isByClock }) => isByClock).length,
    byPersonHours: counted.filter(({ isByClock }) => !isByClock).length,
    leftOutCount: burns.length - counted.length,
    isOffered: acresAnHour !== null && acresAnHour.count >= entriesLeast,
    // 80 chains walked in an hour, 10 square chains an acre.
    libraryAnHour: (stripChains * lighters * 80) / 10,
    accepted: ownLightingRate(operation, property.id),
  };
}

/** The row that accepting a learned rate stores; null while it is not offered. */
export function acceptedRate(
  property: Property,
  { treatment, densityClass, acresACrewDay, offered }: LearnedRate,
  today: IsoDate,
): OwnRate | null {
  if (offered === null || acresACrewDay === null) return null;
  const { overall: mean, lowest, highest, count: entryCount } = acresACrewDay;
  const { key: treatmentKey, rate } = treatment;
  const place = { id: 0, propertyId: property.id, treatmentKey, densityClass, per: rate.per };
  return { ...place, amount: offered, mean, lowest, highest, entryCount, acceptedOn: today };
}

/** The same for lighting. */
export function acceptedLighting(
  property: Property,
  { acresAnHour, isOffered }: LearnedLighting,
  today: IsoDate,
): OwnRate | null {
  if (!isOffered || acresAnHour === null) return null;
  const { overall: mean, lowest, highest, count: entryCount } = acresAnHour;
  const place = { id: 0, propertyId: property.id, treatmentKey: null, densityClass: null };
  const figures = { amount: mean, mean, lowest, highest, entryCount, acceptedOn: today };
  return { ...place, per: 'lighting-hour', ...figures };
}

/** A day on which a burn was waiting and the weather was inside its prescription. */
export interface FitDayUse {
  day: IsoDate;
  isLit: boolean;
  /** As noted on the day; empty = nothing was noted. */
  reason: string;
}

/** Share of the fit days that were used. */
export interface LearnedUse {
  fitDays: number;
  litDays: number;
  /** Null without a fit day. */
  share: number | null;
  reasons: { reason: string; count: number }[];
  isOffered: boolean;
}

/** Lit days over fit days, each day once, with what kept people on the others. */
export function learnedUse(days: readonly FitDayUse[]): LearnedUse {
  const byDay = new Map<IsoDate, FitDayUse>();
  for (const one of days) {
    const known = byDay.get(one.day);
    if (!known?.isLit)
      byDay.set(
        one.day,
        one.reason === '' && known ? { ...known, ...one, reason: known.reason } : one,
      );
  }
  const fit = [...byDay.values()];
  const litDays = fit.filter(({ isLit }) => isLit).length;
  const counts = new Map<string, number>();
  for (const { isLit, reason } of fit)
    if (!isLit && reason !== '') counts.set(reason, (counts.get(reason) ?? 0) + 1);
  return {
    fitDays: fit.length,
    litDays,
    share: fit.length === 0 ? null : litDays / fit.length,
    reasons: [...counts]
      .map(([reason, count]) => ({ reason, count }))
      .sort((a, b) => b.count - a.count || (a.reason < b.reason ? -1 : 1)),
    isOffered: fit.length >= entriesLeast,
  };
}
