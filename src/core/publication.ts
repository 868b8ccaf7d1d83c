import type { IsoDate } from './dates.ts';
import type { Family } from './treatments.ts';

/** What a reader of a feed can see of a task; any change of it raises SEQUENCE. */
export interface CalendarEntry {
  /** Task key; stands for the task in the store, never in the feed. */
  taskKey: string;
  propertyId: number;
  unitIds: number[];
  crewIds: number[];
  family: Family;
  startsOn: IsoDate;
  /** Day after the last one, as DTEND wants it. */
  endsBefore: IsoDate;
  status: 'tentative' | 'confirmed' | 'cancelled';
  /** True for windows, "when fit" spans, notices and cancelled entries: free time. */
  isFreeTime: boolean;
  summary: string;
  /** Lines of the description. */
  description: string[];
  categories: string[];
  place: { latitude: number; longitude: number; words: string } | null;
  /** Path of the task page under the server's address, e.g. `/units/12#task-...`. */
  path: string;
  /** Tasks that wait for this one, with the least lag in days; lag 0 = same day. */
  followedBy: { taskKey: string; lagDaysLeast: number }[];
}

/** Stored identity of a task in the feeds: for life, whatever happens to its dates. */
export interface PublishedTask {
  taskKey: string;
  uid: string;
  sequence: number;
  /** UTC instant of the last visible change, `YYYY-MM-DDTHH:MM:SSZ`. */
  revisedAt: string;
  createdAt: string;
  entry: CalendarEntry;
  /** Set when the task left the plan: the entry stays as a cancelled tombstone. */
  cancelledAt: string | null;
}

/** A feed that can be subscribed to; `name` is its file name without `.ics`, unique, stable. */
export interface FeedScope {
  name: string;
  title: string;
  description: string;
  kind: 'property' | 'crew';
  /** Property or crew id. */
  id: number;
}
