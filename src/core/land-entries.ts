import type { Block } from './blocks.ts';
import { isSigned } from './bookings.ts';
import { unitsOf } from './chains.ts';
import { contractDeadlines, officeWords } from './contracts.ts';
import { addDays, type DateRange, fromDay, type IsoDate, mondayOfDay, toDay } from './dates.ts';
import { feedFutureDays, feedPastDays } from './feed-scopes.ts';
import { followUps } from './follow-ups.ts';
import { loggedTaskKeys } from './land-index.ts';
import { lineGoodUntil, needsWork } from './lines.ts';
import type { NoWorkSpan } from './no-work.ts';
import type { Operation } from './operation.ts';
import { burnSteps, knownDaysOf } from './papers.ts';
import type { PlanContent } from './plans.ts';
import type { Property } from './properties.ts';
import {
  burnCallWords,
  type CalendarEntry,
  dayWords,
  familyCategories,
  type PublishedTask,
  planOnlyWords,
  sentence,
  spanWords,
} from './publication.ts';
import { readinessOf } from './readiness.ts';
import { noWorkOpenings } from './season/no-work.ts';
import { useBysAhead } from './today.ts';

/**
 * Entries that are no task: deadlines, no-work dates and the burn outlook of every property. They are published
 * beside the tasks, with the same identity for life. Only what is on file: nothing is guessed, and no forecast
 * is made up where none is loaded.
 */
export function landEntries(
  operation: Operation,
  plan: PlanContent | null,
  today: IsoDate,
): CalendarEntry[] {
  return operation.properties.flatMap((property) => [
    ...deadlines(operation, plan, property, today),
    ...burnStepEntries(operation, plan, property, today),
    ...lookEntries(operation, plan, property, today),
    ...noWorkEntries(operation, property, today),
    ...outlookEntries(operation, plan, property, today),
  ]);
}

/**
 * Keys of published rows that stay as they are although nothing gives them any more: what is no task and is
 * over was not cancelled, it passed.
 */
export function passedKeys(published: readonly PublishedTask[], today: IsoDate): Set<string> {
  const passed = published.filter(
    ({ entry }) => entry.kind !== 'task' && entry.endsBefore <= today,
  );
  return new Set(passed.map((row) => row.taskKey));
}

type Own = Pick<CalendarEntry, 'taskKey' | 'kind' | 'family' | 'summary' | 'description' | 'path'> &
  Partial<CalendarEntry>;

/** Free time, of no crew and no treatment. */
function landEntry(property: Property, range: DateRange, own: Own): CalendarEntry {
  const { latitude, longitude, name } = property;
  return {
    propertyId: property.id,
    unitIds: [],
    crewIds: [],
    treatmentKey: null,
    startsOn: range.startsOn,
    endsBefore: range.endsBefore,
    status: 'confirmed',
    progress: 'to-do',
    isFreeTime: true,
    categories: [familyCategories[own.family]],
    place: { latitude, longitude, words: name },
    followedBy: [],
    ...own,
  };
}

const oneDay = (day: IsoDate): DateRange => ({ startsOn: day, endsBefore: addDays(day, 1) });

function blockWords({ code, name }: Block): string {
  return name === '' || name === code ? code : `${code} ${name}`;
}

/** What runs out: burn plan, consent and permit of a block, lines, approvals, felled fuel, and days of contracts. */
function deadlines(
  operation: Operation,
  plan: PlanContent | null,
  property: Property,
  today: IsoDate,
): CalendarEntry[] {
  const entry = (key: string, day: IsoDate | null, summary: string, unitIds: number[]) =>
    day === null
      ? []
      : [
          landEntry(property, oneDay(day), {
            taskKey: `deadline:${key}`,
            kind: 'deadline',
            family: 'notice',
            unitIds,
            summary,
            description: [`Last day: ${dayWords(day)}.`, planOnlyWords],
            path: unitIds[0] ? `/units/${unitIds[0]}` : '/units',
          }),
        ];
  const blocks = operation.blocks.filter((block) => block.propertyId === property.id);
  const unitIdsOf = (block: Block) => unitsOf(operation, block).map((unit) => unit.id);
  const useBys = useBysAhead(operation, plan, () => today);
  return [
    ...blocks.flatMap((block) => {
      const { planExpiresOn, consentUntil, permitUntil, permitNotNeeded } = block.readiness;
      const of = (what: string, day: IsoDate | null, words: string) =>
        entry(`block:${block.id}/${what}`, day, `${blockWords(block)}: ${words}`, unitIdsOf(block));
      return [
        ...of('plan', planExpiresOn, 'signed burn plan runs out'),
        ...of('consent', consentUntil, 'landowner consent runs out'),
        ...of('permit', permitNotNeeded ? null : permitUntil, 'permit runs out'),
      ];
    }),
    ...useBys
      .filter((row) => row.block.propertyId === property.id)
      .flatMap((row) =>
        entry(
          `block:${row.block.id}/use-by`,
          row.useByOn,
          `${blockWords(row.block)}: last useful day to burn the felled fuel`,
          unitIdsOf(row.block),
        ),
      ),
    ...operation.lines
      .filter(
        (line) => line.propertyId === property.id && needsWork(line.kind, operation.lineKinds),
      )
      .flatMap((line) =>
        entry(
          `line:${line.id}`,
          lineGoodUntil(line, operation.lineKinds, property.anchors),
          `Line ${line.name}: good until`,
          line.unitIds,
        ),
      ),
    ...operation.approvals.flatMap((approval) => {
      const unit = operation.units.find(
        (one) => one.id === approval.unitId && one.propertyId === property.id,
      );
      const span = operation.noWork.find((one) => one.key === approval.noWorkKey);
      if (!unit || !span) return [];
      const key = `approval:${approval.noWorkKey}/${unit.id}/${approval.from}`;
      return entry(key, approval.until, `${unit.code}: approval ends (${span.name})`, [unit.id]);
    }),
    ...recordDeadlines(operation, property).flatMap(({ key, day, summary, unitIds }) =>
      entry(key, day, summary, unitIds),
    ),
    ...contractDeadlines(
      operation,
      operation.contracts.filter((contract) => contract.propertyId === property.id),
      today,
    ).flatMap(({ contract, key, day, words, unitIds }) =>
      entry(`contract:${contract.id}/${key}`, day, words, unitIds).map((one) => ({
        ...one,
        description: [...one.description, officeWords],
        path: `/contracts/${contract.id}`,
      })),
    ),
  ];
}

interface RecordDeadline {
  key: string;
  day: IsoDate | null;
  summary: string;
  unitIds: number[];
}

/**
 * Last days of consents and leases, and the last day to book a job that is not signed. A job is of the property of
 * its first unit; one without units, and what people hold, is said once, on the first property.
 */
function recordDeadlines(operation: Operation, property: Property): RecordDeadline[] {
  const ofProperty = (row: { propertyId: number }) => row.propertyId === property.id;
  const isFirst = operation.properties[0]?.id === property.id;
  const jobs = operation.bookings.filter(({ unitIds, state }) => {
    const unit = operation.units.find(({ id }) => id === unitIds[0]);
    return !isSigned(state) && (unit ? ofProperty(unit) : isFirst);
  });
  const crewName = (crewId: number) =>
    operation.crews.find(({ id }) => id === crewId)?.name ?? 'crew';
  return [
    ...operation.consents.filter(ofProperty).map(({ id, until, givenBy, unitIds }) => ({
      key: `consent:${id}`,
      day: until,
      summary: `Consent of ${givenBy} runs out`,
      unitIds,
    })),
    ...operation.leases.filter(ofProperty).map(({ id, until, holder, unitIds }) => ({
      key: `lease:${id}`,
      day: until,
      summary: `Lease of ${holder} ends`,
      unitIds,
    })),
    ...jobs.map(({ id, crewId, bookBy, from, until, unitIds }) => ({
      key: `booking:${id}`,
      day: bookBy,
      summary: `Book ${crewName(crewId)} for ${spanWords(from, until)}`,
      unitIds,
    })),
    ...(isFirst ? operation.people : []).flatMap(({ id, name, qualifications }) =>
      qualifications.map((one, at) => ({
        key: `person:${id}/${at}`,
        day: one.expiresOn,
        summary: `${name}: ${one.name} runs out`,
        unitIds: [],
      })),
    ),
  ];
}

/** Last days of the steps before each burn that is planned or called; done ones stay, and say so. */
function burnStepEntries(
  operation: Operation,
  plan: PlanContent | null,
  property: Property,
  today: IsoDate,
): CalendarEntry[] {
  const blocks = operation.blocks.filter((block) => block.propertyId === property.id);
  return blocks.flatMap((block) => {
    const { burnKey, call, isPlanned } = knownDaysOf(operation, block, plan);
    if (burnKey === null || !(isPlanned || call)) return [];
    return burnSteps(operation, block, today, plan).flatMap((step): CalendarEntry[] => {
      const isAnswered = step.done !== null && step.done.paperId === null;
      if (step.dueBy === null || step.isAfterFire || isAnswered) return [];
      const isDone = step.state === 'done' || step.state === 'not-needed';
      return [
        landEntry(property, oneDay(step.dueBy), {
          taskKey: `deadline:${burnKey}/${step.key}`,
          kind: 'deadline',
          family: 'notice',
          unitIds: unitsOf(operation, block).map((unit) => unit.id),
          summary: `${isDone ? 'Done: ' : ''}${blockWords(block)}: ${step.name}`,
          progress: isDone ? 'done' : 'to-do',
          description: [
            `Last day: ${dayWords(step.dueBy)}; ${step.leadWords}.`,
            ...(step.onlyIf === '' ? [] : [`Only if ${step.onlyIf}.`]),
            ...(step.note === '' ? [] : [step.note]),
            planOnlyWords,
          ],
          path: `/burns/${block.id}`,
        }),
      ];
    });
  });
}

/** Looks that the last fire asks for and the plan has no task for. */
function lookEntries(
  operation: Operation,
  plan: PlanContent | null,
  property: Property,
  today: IsoDate,
): CalendarEntry[] {
  const blocks = operation.blocks.filter((block) => block.propertyId === property.id);
  return blocks.flatMap((block) =>
    followUps(operation, block, today)
      .filter(
        (look) =>
          look.state !== 'missed' &&
          !plan?.tasks.some(
            (task) =>
              task.blockId === block.id &&
              task.treatmentKey === look.treatmentKey &&
              task.lastDay >= look.burnedOn,
          ),
      )
      .map((look) =>
        landEntry(
          property,
          { startsOn: look.from, endsBefore: addDays(look.until, 1) },
          {
            taskKey: `deadline:look:${look.key}`,
            kind: 'deadline',
            family: 'notice',
            unitIds: unitsOf(operation, block).map((unit) => unit.id),
            summary: `${look.state === 'done' ? 'Done: ' : ''}${blockWords(block)}: ${look.name}`,
            progress: look.state === 'done' ? 'done' : 'to-do',
            description: [
              `After the fire of ${dayWords(look.burnedOn)}: ${spanWords(look.from, look.until)}.`,
              planOnlyWords,
            ],
            path: `/burns/${block.id}`,
          },
        ),
      ),
  );
}

/** Openings of every rule that holds on the property, from 90 days ago to 18 months ahead. */
function noWorkEntries(operation: Operation, property: Property, today: IsoDate): CalendarEntry[] {
  const range = {
    startsOn: addDays(today, -feedPastDays),
    endsBefore: addDays(today, feedFutureDays),
  };
  return operation.noWork.flatMap((span) => {
    if (span.propertyId !== null && span.propertyId !== property.id) return [];
    if (span.state !== null && span.state !== property.state) return [];
    const units = operation.units.filter(
      (unit) =>
        unit.propertyId === property.id &&
        (span.applies.unitIds?.includes(unit.id) ?? true) &&
        span.applies.unitTags.every((tag) => unit.tags.includes(tag)),
    );
    if (units.length === 0) return [];
    const isEverywhere = span.applies.unitTags.length === 0 && !span.applies.unitIds;
    const codes = units.map((unit) => unit.code).sort();
    return noWorkOpenings(span, range, property.anchors).map((opening) =>
      landEntry(property, opening, {
        taskKey: `no-work:${property.id}/${span.key}/${opening.startsOn.slice(0, 4)}`,
        kind: 'no-work',
        family: 'notice',
        unitIds: units.map((unit) => unit.id),
        summary: `${span.firmness === 'hard' ? 'No work' : 'Ask first'}: ${span.name}`,
        description: [
          sentence(spanWords(opening.startsOn, addDays(opening.endsBefore, -1))),
          ...barredWords(operation, span),
          isEverywhere ? 'On every unit.' : `On ${codes.join('; ')}.`,
          ...(span.reason.trim() === '' ? [] : [sentence(`Why: ${span.reason.trim()}`)]),
          `By ${authorityWords[span.authority]}, as of ${span.asOf}.`,
          ...(span.source.trim() === '' ? [] : [sentence(`Source: ${span.source.trim()}`)]),
          planOnlyWords,
        ],
        path: '/year',
      }),
    );
  });
}

const authorityWords: Record<NoWorkSpan['authority'], string> = {
  law: 'law',
  contract: 'contract',
  owner: 'the owner',
  'own-rule': 'own rule',
};

function barredWords(operation: Operation, { applies }: NoWorkSpan): string[] {
  const names = [
    ...(applies.families ?? []).map((family) => familyCategories[family].toLowerCase()),
    ...operation.treatments
      .filter((treatment) => applies.treatmentKeys?.includes(treatment.key))
      .map((treatment) => treatment.name),
  ];
  const work = names.length > 0 ? names.join('; ') : 'all work';
  const stems =
    applies.stemInchesOver === null ? '' : ` on stems over ${applies.stemInchesOver} inches`;
  return [`Bars: ${work}${stems}.`];
}

/**
 * This week and the next: the blocks that have a burn planned and everything on file. There is no forecast in
 * the program, so no fit day is named.
 */
function outlookEntries(
  operation: Operation,
  plan: PlanContent | null,
  property: Property,
  today: IsoDate,
): CalendarEntry[] {
  const burns = (plan?.tasks ?? []).filter(
    (task) =>
      task.family === 'burn' &&
      task.propertyId === property.id &&
      !loggedTaskKeys(operation.entries).has(task.key),
  );
  const monday = mondayOfDay(toDay(today));
  return [monday, monday + 7].map((day) => {
    const range = { startsOn: fromDay(day), endsBefore: fromDay(day + 7) };
    const asOf = range.startsOn > today ? range.startsOn : today;
    const ready = operation.blocks.flatMap((block) => {
      const own = burns.filter((task) => task.blockId === block.id && task.lastDay >= asOf);
      const burn = own.sort((a, b) => (a.startsOn < b.startsOn ? -1 : 1))[0];
      const isReady =
        burn !== undefined && readinessOf(operation, block, asOf).every((item) => item.isOnFile);
      return isReady ? [{ block, burn }] : [];
    });
    const codes = ready.map(({ block }) => block.code).join('; ');
    return landEntry(property, range, {
      taskKey: `outlook:${property.id}/${range.startsOn}`,
      kind: 'outlook',
      family: 'burn',
      unitIds: ready.flatMap(({ block }) => unitsOf(operation, block).map((unit) => unit.id)),
      status: 'tentative',
      summary: `Burn outlook: ${codes === '' ? 'no block' : codes} ready on paper, no forecast loaded`,
      description: [
        `Week of ${spanWords(range.startsOn, addDays(range.endsBefore, -1))}.`,
        ...ready.map(
          ({ block, burn }) =>
            `${blockWords(block)}: burn planned when fit, ${spanWords(burn.startsOn, burn.lastDay)}.`,
        ),
        'Ready on paper: a burn is planned and plan, consent, lines, fuel, notices, people and permit are on file. It is not leave to burn.',
        'No forecast is loaded, so no fit days are named.',
        burnCallWords,
        planOnlyWords,
      ],
      path: '/burn-days',
    });
  });
}
