/** Roles from the one that may least to the one that may all; each may what those before it may. */
export const roles = ['landowner', 'crew-lead', 'planner', 'administrator'] as const;

export type Role = (typeof roles)[number];

/** Who is signed in. */
export interface SignedIn {
  /** Number of the account. */
  id: number;
  name: string;
  role: Role;
  /** Properties that the person is limited to; null = all of them. */
  propertyIds: readonly number[] | null;
}
