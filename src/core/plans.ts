import type { DateRange, IsoDate } from './dates.ts';
import type { LaterTask, LeftOutTask, PlannedTask } from './tasks.ts';

/** A set of placed tasks with how it was made. */
export interface PlanContent {
  madeOn: IsoDate;
  horizon: DateRange;
  seed: number;
  /** Search iterations when the budget was counted, else null. */
  iterations: number | null;
  seconds: number;
  version: string;
  cost: number;
  /** Certified least cost of any plan, null when none was computed. */
  bound: number | null;
  tasks: PlannedTask[];
  leftOut: LeftOutTask[];
  later: LaterTask[];
}

export interface Plan {
  id: number;
  state: 'draft' | 'in-force' | 'superseded';
  createdAt: string;
  adoptedAt: string | null;
  content: PlanContent;
}

/** One line of the comparison of a draft with the plan in force. */
export type PlanDifference =
  | { kind: 'new'; key: string; name: string; startsOn: IsoDate; lastDay: IsoDate }
  | {
      kind: 'moved';
      key: string;
      name: string;
      from: { startsOn: IsoDate; lastDay: IsoDate };
      to: { startsOn: IsoDate; lastDay: IsoDate };
    }
  | { kind: 'left-out'; key: string; name: string; reason: string };

/** Dates that the user fixed for a task. */
export interface HeldDates {
  taskKey: string;
  startsOn: IsoDate;
}
