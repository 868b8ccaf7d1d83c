/** Weather that was read at a fire, once an hour or so. */
export interface FireReading {
  /** Local time of the day, `HH:MM`. */
  at: string;
  tempF: number | null;
  rhPercent: number | null;
  windMph: number | null;
  gustMph: number | null;
  /** Degrees that the wind came from. */
  windFromDegrees: number | null;
  note: string;
}

/** What an entry of the work log holds beside the facts that the planner reads. */
export interface WorkDetail {
  entryId: number;
  /** Spent, without the pay of the own crew. */
  moneyUsd: number | null;
  /** Hours by number of the gear row. */
  gearHours: { gearId: number; hours: number }[];
  /** Local times of day, `HH:MM`; fires: lit, and the last of the lighting. */
  startedAt: string | null;
  endedAt: string | null;
  readings: FireReading[];
  /** File names in the photo folder beside the database, oldest first. */
  photos: string[];
}
