import type { Block } from './blocks.ts';
import { type CallOutAnswer, papersOfBurn } from './burn-papers.ts';
import { addDays, type IsoDate, weekday } from './dates.ts';
import type { Operation } from './operation.ts';
import type { BurnDays } from './papers.ts';
import type { BurnRole, Person } from './people.ts';

/** People are asked from three days to one day before: practice judgement, no source. */
const askedDaysBefore = [1, 2, 3];

/** Somebody who may come to a burn, and what they said. */
export interface CallOutRow {
  person: Person;
  /** Roles on this burn, else those that the person may fill. */
  roles: BurnRole[];
  isNamed: boolean;
  /** The day is one of the person's usual ones. */
  isUsualDay: boolean;
  answer: CallOutAnswer | null;
  answeredOn: IsoDate | null;
}

export interface CallOut {
  day: IsoDate;
  rows: CallOutRow[];
  /** People on the ground that said yes or late; those on call are not on the ground. */
  comingCount: number;
  neededCount: number;
}

/** Days that people are asked about now: the called day, else one to three days from now inside the burn's span. */
export function callOutDays({ call, span, litOn }: BurnDays, today: IsoDate): IsoDate[] {
  if (litOn !== null) return [];
  if (call) return call.day >= today ? [call.day] : [];
  const isInSpan = (day: IsoDate) => span !== null && span.startsOn <= day && day <= span.lastDay;
  return askedDaysBefore.map((days) => addDays(today, days)).filter(isInSpan);
}

/** The call-out list of a burn for a day: people named for it first, then those who may fill a role. */
export function callOutOf(
  operation: Operation,
  block: Block,
  burnKey: string | null,
  day: IsoDate,
): CallOut {
  const papers = papersOfBurn(operation, block, burnKey);
  const rows = operation.people.flatMap((person): CallOutRow[] => {
    const named = block.readiness.roles
      .filter(({ personId }) => personId === person.id)
      .map(({ role }) => role);
    const roles = named.length > 0 ? named : person.burnRoles;
    if (roles.length === 0) return [];
    const said = papers.findLast(
      (paper) => paper.kind === 'call-out' && paper.personId === person.id && paper.day === day,
    );
    const answer = said?.kind === 'call-out' ? said.answer : null;
    return [
      {
        person,
        roles,
        isNamed: named.length > 0,
        isUsualDay: person.usualDays.includes(weekday(day)),
        answer,
        answeredOn: said?.on ?? null,
      },
    ];
  });
  const isOnGround = ({ roles }: CallOutRow) => roles.some((role) => role !== 'on-call');
  return {
    day,
    rows: rows.toSorted(
      (a, b) =>
        Number(b.isNamed) - Number(a.isNamed) || Number(b.isUsualDay) - Number(a.isUsualDay),
    ),
    comingCount: rows.filter(
      (row) => isOnGround(row) && (row.answer === 'yes' || row.answer === 'late'),
    ).length,
    neededCount: block.burnPeopleLeast,
  };
}
