import { dateWords, fromDay } from '../dates.ts';
import type { Operation } from '../operation.ts';
import { treatmentOn } from '../own-rates.ts';
import { workNeed } from '../rates.ts';
import { fires } from '../rotation.ts';
import { burningSeasonName, burningSeasonOf } from '../seasons.ts';
import { burnNeedOf, lightingRateOf, prescriptionHours } from '../weather/burn-size.ts';
import { type LandJob, takesTurns } from './land-jobs.ts';
import type { LandOption } from './land-options.ts';
import { crewDaysIn, firstDayOfPool, type LandWeeks, poolOfDay, poolTenths } from './land-weeks.ts';

/** What one part of a sequence in thirds takes of its season; a number that pieces divide well. */
const turn = 840;

/** A limited thing that placings draw on, with its name in words for reasons. */
export type RowSubject =
  | { kind: 'crew'; crewId: number; week: number }
  | { kind: 'gear'; gearKey: string; week: number }
  | { kind: 'fit-days'; pool: number }
  | { kind: 'apart'; name: string }
  | { kind: 'turn'; name: string };

/** Rows of the model by what they stand for; made when first drawn on. */
export class LandRows {
  readonly capacities: number[] = [];
  readonly subjects: RowSubject[] = [];
  /** Of each row; the same thing has the same name in another model of the same operation. */
  readonly names: string[] = [];
  private readonly byName = new Map<string, number>();
  private readonly operation: Operation;
  private readonly weeks: LandWeeks;
  /** Pairs of blocks that must not burn in one season, as block id to the others. */
  private readonly apart: Map<number, number[]>;
  private readonly fireSeasons: Set<string>;
  /** Fit days that a burn takes, by block and prescription. */
  private readonly burnDays = new Map<string, number>();
  /** Parts of a crew's week that some placing is bound to, by crew and week. */
  private readonly partWeeks = new Map<string, { first: number; last: number }[]>();

  constructor(operation: Operation, weeks: LandWeeks) {
    this.operation = operation;
    this.weeks = weeks;
    this.apart = apartBlocks(operation);
    this.fireSeasons = fireSeasonsOf(operation);
  }

  private row(name: string, subject: RowSubject, capacity: () => number): number {
    const known = this.byName.get(name);
    if (known !== undefined) return known;
    const index = this.capacities.length;
    this.byName.set(name, index);
    this.capacities.push(capacity());
    this.subjects.push(subject);
    this.names.push(name);
    return index;
  }

  /**
   * Notes a placing whose window opens or closes inside a week: placings bound to the same few days must fit them
   * together, not just the week. To be called for every placing before the first `usesOf`.
   */
  noteOpenDays(option: LandOption): void {
    for (const { week } of option.shares)
      for (const crew of option.mode.crews) {
        const days = crewDaysIn(this.weeks, crew.id, week, option.open);
        if (days.length === crewDaysIn(this.weeks, crew.id, week, null).length) continue;
        const [first, last] = [days[0] ?? 0, days.at(-1) ?? 0];
        const parts = this.partWeeks.get(`${crew.id} ${week}`) ?? [];
        if (!parts.some((part) => part.first === first && part.last === last))
          this.partWeeks.set(`${crew.id} ${week}`, [...parts, { first, last }]);
      }
  }

  /** Rows of the parts of a crew's week that hold all open days of a placing. */
  private partRows(crewId: number, week: number, option: LandOption): number[] {
    const parts = this.partWeeks.get(`${crewId} ${week}`);
    if (!parts) return [];
    const days = crewDaysIn(this.weeks, crewId, week, option.open);
    const [from, to] = [days[0] ?? 0, days.at(-1) ?? 0];
    return parts
      .filter(({ first, last }) => first <= from && to <= last)
      .map(({ first, last }) =>
        this.row(`crew ${crewId} days ${first} ${last}`, { kind: 'crew', crewId, week }, () => {
          const all = crewDaysIn(this.weeks, crewId, week, null);
          return 10 * all.filter((day) => first <= day && day <= last).length;
        }),
      );
  }

  private crewRow(crewId: number, week: number): number {
    return this.row(
      `crew ${crewId} ${week}`,
      { kind: 'crew', crewId, week },
      () => 10 * crewDaysIn(this.weeks, crewId, week, null).length,
    );
  }

  private gearRow(gearKey: string, week: number): number {
    const gear = this.operation.gear.find((one) => one.key === gearKey);
    return this.row(
      `gear ${gearKey} ${week}`,
      { kind: 'gear', gearKey, week },
      () => 70 * (gear?.count ?? 0),
    );
  }

  /** Fit days of one prescription in a two-week span, or of the best one: one boss, one fire a day. */
  private fitRow(prescriptionKey: string | null, pool: number): number {
    const tables = this.operation.fitDays.filter(
      (table) => prescriptionKey === null || table.prescriptionKey === prescriptionKey,
    );
    return this.row(`fit ${prescriptionKey ?? 'all'} ${pool}`, { kind: 'fit-days', pool }, () =>
      Math.max(
        0,
        ...tables.map((one) => poolTenths(this.operation, this.weeks, one.fitDays, pool)),
      ),
    );
  }

  /** What a placing draws on, as flattened pairs of row and quantity. */
  usesOf(job: LandJob, option: LandOption): number[] {
    const uses = new Map<number, number>();
    const draw = (row: number, quantity: number) => uses.set(row, (uses.get(row) ?? 0) + quantity);
    for (const { week, tenths } of option.shares) {
      for (const crew of option.mode.crews) {
        draw(this.crewRow(crew.id, week), tenths);
        for (const row of this.partRows(crew.id, week, option)) draw(row, tenths);
      }
      for (const key of option.mode.treatment.gear) draw(this.gearRow(key, week), tenths);
    }
    if (option.mode.treatment.family === 'burn') this.burnUses(job, option, draw);
    if (takesTurns(job)) this.drawTurn(job, option, draw);
    return [...uses].flat();
  }

  private burnDaysOf(job: LandJob, prescriptionKey: string | null): number {
    const name = `${job.block.id} ${prescriptionKey}`;
    const known = this.burnDays.get(name);
    if (known !== undefined) return known;
    const prescription = this.operation.prescriptions.find((one) => one.key === prescriptionKey);
    const days = prescription
      ? burnNeedOf(
          job.areaAcres,
          lightingRateOf(this.operation, job.block.propertyId),
          prescriptionHours(prescription),
        ).daysNeeded
      : 1;
    this.burnDays.set(name, days);
    return days;
  }

  private burnUses(
    job: LandJob,
    option: LandOption,
    draw: (row: number, quantity: number) => void,
  ): void {
    const week = option.shares[0]?.week ?? 0;
    const pool = poolOfDay(this.weeks.firstDay + week * 7);
    const prescriptionKey = option.mode.treatment.prescriptionKey ?? job.block.prescriptionKey;
    // A burn that takes more than a day goes on in the next span: one span rarely holds two whole burns.
    for (let at = pool; at < pool + this.burnDaysOf(job, prescriptionKey); at++) {
      if (prescriptionKey !== null) draw(this.fitRow(prescriptionKey, at), 10);
      draw(this.fitRow(null, at), 10);
    }
    for (const tied of job.tied) {
      const need = tiedNeed(this.operation, tied, option);
      draw(this.crewRow(need.crewId, week), need.tenths);
    }
    const season = this.seasonOf(job, option);
    for (const other of this.apart.get(job.block.id) ?? []) {
      const [a, b] = [job.block.id, other].sort((x, y) => x - y);
      const name = `${this.codeOf(a ?? 0)} and ${this.codeOf(b ?? 0)} apart in ${burningSeasonName(season)}`;
      draw(
        this.row(name, { kind: 'apart', name }, () => 1),
        1,
      );
    }
  }

  /** A sequence in thirds does one part a season: pieces of a part take their shares of the turn. */
  private drawTurn(
    job: LandJob,
    option: LandOption,
    draw: (row: number, quantity: number) => void,
  ): void {
    const season = this.seasonOf(job, option);
    const place = job.identity.unitId === null ? job.block.code : (job.units[0]?.code ?? '');
    const name = `${place}: one part a season, ${burningSeasonName(season)}`;
    draw(
      this.row(
        `turn ${job.identity.unitId ?? `of ${job.block.id}`} ${season}`,
        { kind: 'turn', name },
        () => turn,
      ),
      Math.floor(turn / job.piecesCount),
    );
  }

  private seasonOf(job: LandJob, option: LandOption): number {
    return burningSeasonOf(fromDay(option.fromDay), job.property.burningSeasonStart);
  }

  private codeOf(blockId: number): string {
    return this.operation.blocks.find((block) => block.id === blockId)?.code ?? '';
  }

  /** True when a neighbour that must stay apart has burned in the season of the placing, or another part had its turn. */
  isBarredByFacts(job: LandJob, option: LandOption): boolean {
    const season = this.seasonOf(job, option);
    const start = job.property.burningSeasonStart;
    if (
      takesTurns(job) &&
      job.otherPartsDoneOn.some((day) => burningSeasonOf(day, start) === season)
    )
      return true;
    if (option.mode.treatment.family !== 'burn') return false;
    return (this.apart.get(job.block.id) ?? []).some((other) =>
      this.fireSeasons.has(`${other} ${season}`),
    );
  }

  /** The limited thing in words, as in "Home crew is full in the week of 2027-01-04". */
  wordsOf(row: number): string {
    const subject = this.subjects[row];
    if (!subject) return '';
    const monday = (week: number) => dateWords(fromDay(this.weeks.firstDay + week * 7));
    if (subject.kind === 'crew') {
      const crew = this.operation.crews.find((one) => one.id === subject.crewId);
      return `${crew?.name ?? 'crew'} is full in the week of ${monday(subject.week)}`;
    }
    if (subject.kind === 'gear') {
      const gear = this.operation.gear.find((one) => one.key === subject.gearKey);
      return `${gear?.name ?? subject.gearKey} is taken in the week of ${monday(subject.week)}`;
    }
    if (subject.kind === 'fit-days')
      return `the likely fit days of the two weeks from ${dateWords(fromDay(firstDayOfPool(subject.pool)))} are taken`;
    return subject.name;
  }

  /** The limited thing in words without its week, as in "Home crew is full". */
  subjectWordsOf(row: number): string {
    const subject = this.subjects[row];
    const isNone = this.capacities[row] === 0;
    if (subject?.kind === 'fit-days')
      return isNone ? 'no burn is likely to find a fit day' : 'the likely fit days are taken';
    if (subject?.kind === 'gear' && isNone) return `there is no ${subject.gearKey}`;
    return this.wordsOf(row).replace(/ in the week of .*$/, '');
  }
}

/** Crew and tenths of a task that is tied to a burn: the burn's largest crew does it. */
export function tiedNeed(
  operation: Pick<Operation, 'ownRates'>,
  tied: LandJob,
  burn: LandOption,
): { crewId: number; tenths: number } {
  const [crew] = [...burn.mode.crews].sort((a, b) => b.peopleCount - a.peopleCount);
  const treatment = tied.treatments[0];
  if (!crew || !treatment) return { crewId: -1, tenths: 0 };
  return {
    crewId: crew.id,
    tenths: workNeed(treatmentOn(operation, treatment, tied.units[0]), {
      areaAcres: tied.areaAcres,
      lineFeet: tied.lineFeet,
      densityClass: tied.units[0]?.densityClass ?? null,
      crewPeople: crew.peopleCount,
    }),
  };
}

function apartBlocks(operation: Operation): Map<number, number[]> {
  const blockOf = new Map(operation.units.map((unit) => [unit.id, unit.blockId]));
  const propertyOf = new Map(operation.units.map((unit) => [unit.id, unit.propertyId]));
  const apart = new Map<number, number[]>();
  const join = (a: number, b: number) => {
    const list = apart.get(a) ?? [];
    if (!list.includes(b)) apart.set(a, [...list, b]);
  };
  for (const pair of operation.neighbours) {
    const [u, v] = pair.unitIds;
    const property = operation.properties.find((one) => one.id === propertyOf.get(u));
    const [a, b] = [blockOf.get(u), blockOf.get(v)];
    if ((pair.rule ?? property?.neighbourRule) !== 'apart') continue;
    if (a === undefined || b === undefined || a === b) continue;
    join(a, b);
    join(b, a);
  }
  return apart;
}

/** Blocks and burning seasons with a fire that counts, whoever lit it. */
function fireSeasonsOf(operation: Operation): Set<string> {
  const { shareBlackPercentLeast } = operation.settings;
  const seasons = new Set<string>();
  for (const unit of operation.units) {
    const property = operation.properties.find((one) => one.id === unit.propertyId);
    if (!property) continue;
    for (const { doneOn, shareBlackPercent } of fires(operation, unit))
      if (shareBlackPercent === null || shareBlackPercent >= shareBlackPercentLeast)
        seasons.add(`${unit.blockId} ${burningSeasonOf(doneOn, property.burningSeasonStart)}`);
  }
  return seasons;
}
