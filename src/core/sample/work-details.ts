import { addYears, type IsoDate } from '../dates.ts';
import { type FireReading, noDetail, type WorkDetail } from '../work-details.ts';
import type { WorkEntry } from '../worklog.ts';

/** An afternoon that dries out and freshens, hour by hour; invented. */
const afternoon: [at: string, tempF: number, rhPercent: number, windMph: number, note: string][] = [
  ['11:30', 52, 46, 5, 'Test fire on the east line.'],
  ['12:30', 56, 41, 6, ''],
  ['13:30', 60, 36, 7, 'Flanks joined.'],
  ['14:30', 61, 34, 8, 'Lighting done.'],
];

function readingsOf(entryId: number): FireReading[] {
  // Each burn has an afternoon of its own, by its number alone.
  const shift = (entryId % 4) - 1;
  return afternoon.map(([at, tempF, rhPercent, windMph, note]) => ({
    at,
    tempF: tempF + shift,
    rhPercent: rhPercent + 2 * shift,
    windMph,
    gustMph: windMph + 4,
    windFromDegrees: 200 + 5 * shift,
    note,
  }));
}

/** Dollars of a crew day by treatment: saw contractors and bought seed; invented. */
const dollarsACrewDay: Record<string, number> = {
  'cedar-felling': 850,
  'native-seeding': 1400,
  'sericea-spray': 160,
  'basal-bark': 210,
};
const gearOf: Record<string, string> = {
  'dormant-burn': 'burn-trailer',
  'late-season-burn': 'burn-trailer',
  'sericea-spray': 'sprayer',
  'strip-disking': 'tractor',
  mowing: 'tractor',
};

/** Money, gear hours, times and readings of the sample's own work of the last two years. */
export function sampleDetails(entries: readonly WorkEntry[], today: IsoDate): WorkDetail[] {
  const from = addYears(today, -2);
  return entries.flatMap((entry): WorkDetail[] => {
    const { id: entryId, treatmentKey, crewDays, fireCause } = entry;
    if (entry.doneOn < from || crewDays === null) return [];
    const isBurn = fireCause === 'planned';
    const dollars = dollarsACrewDay[treatmentKey];
    const gearKey = gearOf[treatmentKey];
    if (!isBurn && !dollars && !gearKey) return [];
    return [
      {
        ...noDetail,
        entryId,
        moneyUsd: isBurn ? 95 : dollars ? Math.round(dollars * crewDays) : null,
        gearHours: gearKey ? [{ gearKey, hours: isBurn ? 6 : crewDays * 7 }] : [],
        startedAt: isBurn ? '11:40' : null,
        endedAt: isBurn ? '14:30' : null,
        readings: isBurn ? readingsOf(entryId) : [],
        photos: [],
        captions: [],
      },
    ];
  });
}
