/** Weights of the plan, in points, with plain names. Shown to people as burns, acres, crew days and money. */
export interface Weights {
  /** A task one week late. */
  latePerWeek: number;
  /** A burn of a block that is overdue for fire today, one week late. */
  overdueBurnLatePerWeek: number;
  /** A planned burn left out. */
  burnLeftOut: number;
  /** Any other task left out, and each acre of it. */
  taskLeftOut: number;
  leftOutPerAcre: number;
  /** A burn after the use-by of felled fuel. */
  pastUseBy: number;
  /** A task moved against the plan in force: once, and each week up to the cap. */
  moved: number;
  movedPerWeek: number;
  movedWeeksMost: number;
  /** A late-season burn in place of a dormant one. */
  otherMode: number;
  pointsPerDollar: number;
}

export const weightsDefault: Weights = {
  latePerWeek: 10,
  overdueBurnLatePerWeek: 30,
  burnLeftOut: 3000,
  taskLeftOut: 600,
  leftOutPerAcre: 10,
  pastUseBy: 1500,
  moved: 10,
  movedPerWeek: 3,
  movedWeeksMost: 12,
  otherMode: 60,
  pointsPerDollar: 0.02,
};

export const weightNames: Record<keyof Weights, string> = {
  latePerWeek: 'A task one week late',
  overdueBurnLatePerWeek: 'A burn of an overdue block one week late',
  burnLeftOut: 'A burn left out',
  taskLeftOut: 'Another task left out',
  leftOutPerAcre: 'Each acre left out',
  pastUseBy: 'A burn after the use-by of felled fuel',
  moved: 'A task moved',
  movedPerWeek: 'A task moved, each week',
  movedWeeksMost: 'Weeks of a move that count',
  otherMode: 'A late-season burn in place of a dormant one',
  pointsPerDollar: 'One dollar',
};
