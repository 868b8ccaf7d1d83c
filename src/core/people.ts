import { type IsoDate, parseIsoDate } from './dates.ts';
import type { Problem } from './problems.ts';

export const burnRoles = ['boss', 'lighter', 'holder', 'water', 'lookout', 'on-call'] as const;
export type BurnRole = (typeof burnRoles)[number];

/** Somebody who works on the land or on burns. */
export interface Person {
  id: number;
  name: string;
  contact: string;
  /** Crew the person belongs to; null = helps on burns only. */
  crewId: number | null;
  /** Roles on a burn that the person may fill. */
  burnRoles: BurnRole[];
  qualifications: { name: string; expiresOn: IsoDate | null }[];
  /** ISO weekdays on which the person can usually come, 1 Monday to 7 Sunday. */
  usualDays: number[];
  note: string;
}

/** A role of a block's burn and who fills it. */
export interface BurnRoleFill {
  role: BurnRole;
  personId: number;
}

/** What is wrong with a person as entered; empty = the row can be stored. */
export function checkPerson(person: Omit<Person, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `person-${field}`, field, ref: person.name, message });
  if (person.name.trim() === '') say('name', 'Name: give the person a name.');
  if (!person.burnRoles.every((role) => burnRoles.includes(role)))
    say('burnRoles', 'Roles on a burn: pick from the list.');
  for (const { name, expiresOn } of person.qualifications) {
    if (name.trim() === '') say('qualifications', 'Qualifications: give each one a name.');
    if (expiresOn !== null && !parseIsoDate(expiresOn))
      say('qualifications', `Qualification ${name}: give a real last day, or leave it blank.`);
  }
  if (!person.usualDays.every((day) => Number.isInteger(day) && day >= 1 && day <= 7))
    say('usualDays', 'Usual days: give days from 1, Monday, to 7, Sunday.');
  return problems;
}
