/** Roles from the one that may least to the one that may all; each may what those before it may. */
export const roles = ['landowner', 'crew-lead', 'planner', 'administrator'] as const;

export type Role = (typeof roles)[number];
