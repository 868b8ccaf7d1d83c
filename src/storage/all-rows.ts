import type { LandContent, Library } from '../core/library.ts';
import type { Problem } from '../core/problems.ts';
import type { LandRows } from '../core/records.ts';
import { type Repositories, readLand } from './land.ts';
import { rowKeepers } from './record-changes.ts';
import { checkSettings } from './settings.ts';

/** Noun of each list of the land whose rows a form checks; null = checked elsewhere, or by the database alone. */
const nounOfList: Record<keyof LandContent, keyof LandRows | null> = {
  landowners: 'landowner',
  properties: 'property',
  units: 'unit',
  blocks: 'block',
  lines: 'line',
  neighbours: null,
  points: 'point',
  mapLayers: 'mapLayer',
  tileServices: 'tileService',
  leases: 'lease',
  grazing: 'grazing',
  consents: 'consent',
  planElements: 'planElement',
  contracts: 'contract',
  ownRates: 'ownRate',
  people: 'person',
  bookings: 'booking',
  crews: 'crew',
  gear: 'gear',
  holidays: 'holiday',
  entries: null,
  details: null,
  whatIfs: null,
  visits: 'visit',
  photoPoints: 'photoPoint',
  ownerLetters: 'ownerLetter',
  approvals: 'approval',
  heldDates: null,
  papers: null,
  settings: null,
};

/**
 * What the forms would refuse of rows that came in by a file, each row against itself as it is stored. `library` has the
 * user's rows laid over it. A row that can not even be read is a problem with its kind.
 */
export function landRowProblems(all: Repositories, library: Library): Problem[] {
  const content = readLand(all);
  // No-work dates that follow from leases and points are not worked out here: the key of an approval is not asked.
  const keepers = rowKeepers(all, library, () => true);
  const ofNoun = <N extends keyof LandRows>(noun: N, rows: readonly LandRows[N][]): Problem[] =>
    rows.flatMap((row) =>
      keepers[noun].problems(row, row).map((problem) => ({
        ...problem,
        message: `${noun} ${keepers[noun].name(row)}: ${problem.message}`,
      })),
    );
  const lists = Object.entries(nounOfList) as [keyof LandContent, keyof LandRows | null][];
  const rows = lists.flatMap(([list, noun]) =>
    noun === null ? [] : ofNoun(noun, content[list] as unknown as LandRows[typeof noun][]),
  );
  return [...rows, ...checkSettings(content.settings)];
}
