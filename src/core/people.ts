import type { IsoDate } from './dates.ts';

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
