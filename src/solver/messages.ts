import type { DateRange } from '../core/dates.ts';
import type { Operation } from '../core/operation.ts';
import type { PlanContent } from '../core/plans.ts';
import type { Outcome } from '../core/problems.ts';
import type { Model, ModelSolution } from '../core/schedule/model.ts';

/** Counted in iterations (the same plan every time) or in seconds of wall time. */
export type SearchLimits = { seed: number; iterations: number } | { seed: number; seconds: number };

/** What one of the two processes tells the other of, through the parent. */
export interface Found {
  /** No plan costs less. */
  bound?: number;
  /** Prices of rows, from the end of the column generation. */
  prices?: Float64Array;
  /** A plan, option of the model by task. */
  choice?: number[];
}

/** To the search: what was found, or that the process that proves is gone. */
export type ToSearch = 'stop' | 'alone' | Found;

/** First message to the child. */
export interface SearchOrder {
  model: Model;
  limits: SearchLimits;
}

/** How far a search is. `solution` comes along when it is better than the one sent before. */
export interface SearchProgress {
  seconds: number;
  iterations: number;
  cost: number;
  /** No plan costs less; null while nothing is proven. */
  bound: number | null;
  leftOut: number;
  solution: ModelSolution | null;
}

/** From the child. */
export type SearchReport = { kind: 'progress' | 'done'; progress: SearchProgress };

export interface SearchResult {
  solution: ModelSolution;
  bound: number | null;
  leftOut: number;
  seconds: number;
  iterations: number;
  /** `done`: the budget was spent; `stopped`: on request; `broken`: the child ended early, this was its best. */
  end: 'done' | 'stopped' | 'broken';
}

/** A choice of the search, to be turned into days. */
export interface FoundChoice {
  choice: number[];
  seconds: number;
  bound: number | null;
}

/** First message to the process that plans. */
export interface PlanningOrder {
  operation: Operation;
  horizon: DateRange;
  inForce: PlanContent | null;
  limits: SearchLimits;
  /** Of the program, kept with the plan. */
  version: string;
  /** What an earlier process had found when it ended early; null = search. */
  found: FoundChoice | null;
}

export type ToPlanning = 'stop';

/** Best cost in points and tasks left out so far. */
export interface PlanningProgress {
  seconds: number;
  cost: number | null;
  leftOutCount: number | null;
}

export type FromPlanning =
  | { kind: 'progress'; progress: PlanningProgress; found: FoundChoice | null }
  /** A stop was heard: the plan comes as soon as it is in days. */
  | { kind: 'heard' }
  | { kind: 'done'; outcome: Outcome<PlanContent> }
  | { kind: 'failed'; message: string };
