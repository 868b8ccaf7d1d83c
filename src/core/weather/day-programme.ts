/** Hours that a burn day takes beside the lighting itself. */
export interface DayHours {
  /** Unload, brief, check the lines and the pumps, test fire. */
  setUp: number;
  /** From the last lighting until the edge is safe to leave for the next block. */
  secure: number;
  /** From one block to the next. */
  move: number;
}

/** Common practice, no source: a start to edit. */
export const dayHoursDefault: DayHours = { setUp: 1.5, secure: 1, move: 0.5 };

/** A block that may be lit on a day. */
export interface ProgrammeBlock {
  key: string;
  /** Hours of lighting and burning out. */
  lightHours: number;
  /** First and last hour of its best run inside the prescription, hours of the local clock; the end is open. */
  fitFrom: number;
  fitUntil: number;
}

/** One block's times in the day's programme, hours of the local clock. */
export interface ProgrammeStop {
  key: string;
  setUpFrom: number | null;
  lightFrom: number;
  lightUntil: number;
  secureUntil: number;
}

export interface DayProgramme {
  stops: ProgrammeStop[];
  /** Blocks that no longer fit, with the reason in words. */
  left: { key: string; reason: string }[];
}

/**
 * The programme of a day for blocks in the order of the list, near each other so that they share the set-up: the
 * next is lit only after the one before is secured, lighting lies inside the block's fit hours, and the last is
 * secured before `daylightUntil`. Set-up may begin before the fit hours, but not before `daylightFrom`.
 */
export function dayProgramme(
  blocks: readonly ProgrammeBlock[],
  hours: DayHours,
  daylightFrom: number,
  daylightUntil: number,
): DayProgramme {
  const programme: DayProgramme = { stops: [], left: [] };
  for (const block of blocks) {
    const before = programme.stops.at(-1);
    const readyAt = before ? before.secureUntil + hours.move : daylightFrom + hours.setUp;
    const lightFrom = Math.max(readyAt, block.fitFrom);
    const lightUntil = lightFrom + block.lightHours;
    const secureUntil = lightUntil + hours.secure;
    if (lightUntil > block.fitUntil + 1e-9)
      programme.left.push({
        key: block.key,
        reason: before
          ? 'its fit hours end before it could be lit after the others'
          : 'its fit hours are shorter than its lighting',
      });
    else if (secureUntil > daylightUntil + 1e-9)
      programme.left.push({ key: block.key, reason: 'it would not be secured before dark' });
    else
      programme.stops.push({
        key: block.key,
        setUpFrom: before ? null : lightFrom - hours.setUp,
        lightFrom,
        lightUntil,
        secureUntil,
      });
  }
  return programme;
}
